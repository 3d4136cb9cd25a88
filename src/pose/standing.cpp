#include "seamwright/pose/standing.h"

#include "pose/turn.h"
#include "seamwright/pose/pose_probe.h"

namespace seamwright {

std::vector<Pose> standing_poses(const Solid& solid, Vec3 usable_mm, bool allow_supports,
                                 const StandingRules& rules) {
  return PoseProbe(solid, rules).all(usable_mm, allow_supports ? Foot::supports : Foot::flat_side);
}

std::optional<Angle> turn_to_fit(std::span<const Vec2> convex_outline, double width_mm,
                                 double depth_mm) {
  const pose_detail::Turn turn = pose_detail::best_turn(convex_outline, width_mm, depth_mm);
  const double spare_mm =
      pose_detail::spare_of_turn(convex_outline, turn.along, width_mm, depth_mm);
  if (spare_mm < -pose_detail::kFitTolerance_mm) return std::nullopt;
  return Angle::radians(std::atan2(-turn.along.y, turn.along.x));
}

}  // namespace seamwright
