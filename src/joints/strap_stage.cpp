#include "joints/strap_stage.h"

#include <fmt/format.h>

#include <algorithm>

namespace seamwright::joints {
namespace {

constexpr double kWellCovered_ratio = 0.5;

/// A strap is glued: joints that come apart get none.
bool wants_strap(const Joinery& joinery, KeyKind asked, const Joint& joint) {
  if (asked == KeyKind::none || asked == KeyKind::flange || asked == KeyKind::lap) return false;
  const auto& travel = joinery.travel_seams;
  const std::string seam = fmt::format("S{}", static_cast<std::uint32_t>(joint.face.seam));
  if (asked == KeyKind::magnet || std::find(travel.begin(), travel.end(), seam) != travel.end())
    return false;
  return asked == KeyKind::strap || joint.keys.size() < 2;
}

StrapRules rules_of(const JointInputs& inputs) {
  StrapRules rules;
  rules.width_mm = inputs.joinery.strap_width_mm;
  rules.thickness_mm = inputs.joinery.strap_thickness_mm;
  rules.gap_mm = inputs.joinery.slide_clearance_mm;
  for (const PosedPiece& piece : inputs.pieces) {
    const double room = 0.95 * std::min(piece.usable_mm.x, piece.usable_mm.y);
    rules.longest_mm = std::min(rules.longest_mm, room);
  }
  return rules;
}

/// Why a joint that wants a strap has none.
std::string why_no_strap(const Straps& straps, std::size_t joint, const HiddenSkin& hidden) {
  if (hidden.whole == nullptr)
    return "Which side is hidden is not known, so no strap is laid: say --worn-side, --wall-side "
           "or --around, or glue it butt with a strip of your own";
  if (straps.hidden_mm[joint] == 0)
    return "None of its edge is hidden, so no strap is laid: glue it butt, or move the seam";
  return "Its hidden side is too steep, too bumpy or too short for a strap: glue it butt, fill the "
         "inner corner, or move the seam";
}

void warn(const JointInputs& inputs, const KeyPlanner& planner, const Straps& straps,
          std::size_t joint, const HiddenSkin& hidden, KeyedPieces& out) {
  const std::string name = joint_name(inputs, out.joints[joint].face);
  const double covered = straps.covered_mm[joint], all = straps.hidden_mm[joint];
  JointWarning shortfall = planner.shortfall(joint);
  if (covered == 0) {
    if (shortfall.code.empty())
      shortfall = {"joint-without-key", fmt::format("{} gets no key", name), joint};
    shortfall.message += ". " + why_no_strap(straps, joint, hidden);
    out.warnings.push_back(std::move(shortfall));
  } else if (covered < kWellCovered_ratio * all) {
    out.warnings.push_back(
        {"strap-covers-part",
         fmt::format("{} has straps on {:.0f} of its {:.0f} mm of hidden edge; the rest is too "
                     "steep, too bumpy or taken. Fill the inner corner with glue there",
                     name, covered, all)});
  }
}

/// Where pieces meet in less than the square that the thinnest dowel needs with its walls.
bool is_corner(const JointInputs& inputs, const Joint& joint) {
  constexpr double kThinnestRod_mm = 1.75;
  const Joinery& joinery = inputs.joinery;
  const double needed_mm =
      kThinnestRod_mm + 2 * (joinery.slide_clearance_mm + joinery.wall_to_skin_mm);
  return joint.keys.empty() && joint.face.area_mm2 < needed_mm * needed_mm;
}

/// All corners without a key in one line.
void warn_of_corners(const JointInputs& inputs, std::span<const std::size_t> corners,
                     KeyedPieces& out) {
  if (corners.empty()) return;
  std::string names;
  for (const std::size_t j : corners) {
    const JointFace& face = out.joints[j].face;
    names += fmt::format("{}{} ({:.1f} mm²)", names.empty() ? "" : ", ", joint_name(inputs, face),
                         face.area_mm2);
  }
  out.warnings.push_back(
      {"corners-without-key",
       fmt::format("{}, glue only, being smaller than the thinnest dowel needs: {}",
                   corners.size() == 1 ? "a corner carries no key"
                                       : fmt::format("{} corners carry no key", corners.size()),
                   names)});
}

}  // namespace

void add_straps(const JointInputs& inputs, std::span<const std::optional<FaceContext>> contexts,
                const KeyPlanner& planner, const HiddenSkin& hidden, KeyedPieces& out,
                const Run& run) {
  std::vector<std::size_t> wanted;
  for (std::size_t j = 0; j < out.joints.size(); ++j) {
    if (wants_strap(inputs.joinery, key_for(inputs, out.joints[j].face), out.joints[j]))
      wanted.push_back(j);
  }
  const StrapRules rules = rules_of(inputs);
  Straps straps = lay_straps(inputs, contexts, wanted, hidden, rules, run);
  for (const LoosePart& part : straps.parts) {
    Joint& joint = out.joints[part.joint];
    if (joint.kind == KeyKind::none) joint.kind = KeyKind::strap;
    joint.keys.push_back({KeyKind::strap,
                          part.at,
                          contexts[part.joint]->plane.normal,
                          straps.width_mm[part.joint],
                          rules.thickness_mm,
                          rules.gap_mm,
                          {},
                          part.length_mm});
  }
  out.loose_parts = std::move(straps.parts);
  std::vector<std::size_t> corners;
  for (std::size_t j = 0; j < out.joints.size(); ++j) {
    const bool is_wanted = std::find(wanted.begin(), wanted.end(), j) != wanted.end();
    const bool falls_short = is_wanted || !planner.shortfall(j).code.empty();
    if (falls_short && is_corner(inputs, out.joints[j]))
      corners.push_back(j);
    else if (is_wanted)
      warn(inputs, planner, straps, j, hidden, out);
    else if (!planner.shortfall(j).code.empty())
      out.warnings.push_back(planner.shortfall(j));
  }
  warn_of_corners(inputs, corners, out);
}

}  // namespace seamwright::joints
