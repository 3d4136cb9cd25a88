#include "job/travel_joinery.h"

#include <algorithm>
#include <stdexcept>

namespace seamwright::job_detail {
namespace {

KeyKind travel_kind(TravelKey key, KeyKind of_joints) {
  switch (key) {
    case TravelKey::by_joints:
      return of_joints == KeyKind::flange ? KeyKind::flange : KeyKind::magnet;
    case TravelKey::magnet:
      return KeyKind::magnet;
    case TravelKey::flange:
      return KeyKind::flange;
    case TravelKey::dowel:
      return KeyKind::dowel;
  }
  throw std::logic_error("broken contract: no such TravelKey");
}

}  // namespace

Joinery with_travel_keys(Joinery joinery, const TravelChoice& travel) {
  std::vector<JointChoice> choices;
  for (const std::string& seam : travel.seams)
    choices.push_back({seam, {}, travel_kind(travel.key, joinery.key)});
  choices.insert(choices.end(), joinery.choices.begin(), joinery.choices.end());
  joinery.choices = std::move(choices);
  joinery.travel_seams = travel.seams;
  return joinery;
}

void part_travel_joints(HandOff& out) {
  const auto& seams = out.joinery.travel_seams;
  for (Joint& joint : out.joints) {
    if (std::find(seams.begin(), seams.end(), seam_name(joint.face.seam)) != seams.end())
      joint.is_glued = false;
  }
}

}  // namespace seamwright::job_detail
