#include "joints/face_context.h"

#include <fmt/format.h>

#include <algorithm>

namespace seamwright::joints {
namespace {

constexpr double kReach_mm = 18;  // deeper than any key and its wall

const PosedPiece& piece_of(const JointInputs& inputs, PieceId id) {
  require(to_index(id) < inputs.pieces.size(), "a joint face names a piece that was given");
  return inputs.pieces[to_index(id)];
}

/// Where the outline is too close for the thinnest key the insets below find nothing; that is
/// right.
std::vector<double> insets_mm(const Joinery& joinery, KeyKind key) {
  const double wall = 1.4 * joinery.wall_to_skin_mm + joinery.slide_clearance_mm;
  if (key == KeyKind::pin) return {wall + 3, wall + 4};
  return {wall + 0.9, wall + 1.5, wall + 2, wall + 4};
}

}  // namespace

FaceContext gather_face(const JointInputs& inputs, const JointFace& face) {
  const Seam* seam = find_seam(inputs.plan, face.seam);
  require(seam != nullptr, "a joint face names a seam of the plan");
  const PosedPiece &above = piece_of(inputs, face.above), &below = piece_of(inputs, face.below);
  const PlaneFrame frame(seam->plane);
  FaceContext context{&face,
                      seam->plane,
                      face_side(seam->plane, Side::above, above.pose),
                      face_side(seam->plane, Side::below, below.pose),
                      Surroundings(above.cut->solid, face.seam, frame, face.region, kReach_mm),
                      Surroundings(below.cut->solid, face.seam, frame, face.region, kReach_mm),
                      find_key_spots(face.region, insets_mm(inputs.joinery, key_for(inputs, face))),
                      0};
  for (const KeySpot& spot : context.spots)
    context.width_mm = std::max(context.width_mm, 2 * spot.room_mm);
  return context;
}

KeyKind key_for(const JointInputs& inputs, const JointFace& face) {
  const std::string &above = inputs.pieces[to_index(face.above)].mark,
                    &below = inputs.pieces[to_index(face.below)].mark;
  KeyKind key = inputs.joinery.key;
  const std::string seam = fmt::format("S{}", static_cast<std::uint32_t>(face.seam));
  for (const JointChoice& choice : inputs.joinery.choices)
    if (is_meant(choice, seam, above, below)) key = choice.key;
  return key;
}

std::string joint_name(const JointInputs& inputs, const JointFace& face) {
  return fmt::format("the joint of {} and {} on seam S{}", inputs.pieces[to_index(face.above)].mark,
                     inputs.pieces[to_index(face.below)].mark,
                     static_cast<std::uint32_t>(face.seam));
}

}  // namespace seamwright::joints
