#include "pose/laying.h"

#include <algorithm>

namespace seamwright::pose_detail {

Excess excess_of(std::span<const Vec2> outline, double height_mm, Vec3 room) {
  const Turn turn = best_turn(outline, room.x, room.y);
  const double excess_mm = std::max(height_mm - room.z, -turn.spare_mm);
  return {turn, excess_mm <= kFitTolerance_mm ? 0 : excess_mm};
}

std::optional<Pose> laid_down(const Solid& solid, const Footing& footing, Vec2 along, Vec3 room) {
  Pose pose;
  const Vec3 up = -footing.down;
  const Vec3 x = normalized(footing.u * along.x + footing.v * along.y);
  pose.bed_from_part.rows = {x, cross(up, x), up};
  Box3 box;
  for (const Vec3 p : solid.points()) box.extend(pose.bed_from_part.rotate(p));
  pose.size_mm = box.size();
  for (std::size_t axis = 0; axis < 3; ++axis) {
    if (pose.size_mm[axis] > room[axis] + kFitTolerance_mm) return std::nullopt;
  }
  pose.bed_from_part.shift = -box.low;
  pose.contact_mm2 = footing.contact_mm2;
  pose.tip_angle = footing.tip_angle;
  pose.slenderness_ratio = footing.slenderness_ratio;
  pose.support_mm2 = footing.support_mm2;
  return pose;
}

}  // namespace seamwright::pose_detail
