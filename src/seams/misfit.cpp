#include "seams/misfit.h"

#include <algorithm>
#include <limits>

#include "pose/turn.h"

namespace seamwright::search {

void add_axis(Misfit& misfit, double extent_mm, double room_mm) {
  if (extent_mm <= room_mm + pose_detail::kFitTolerance_mm) return;
  misfit.excess_ratio += extent_mm / room_mm - 1;
  misfit.pieces *= extent_mm / room_mm;
}

Misfit size_misfit(std::span<const Vec2> outline, double height_mm, Vec3 room) {
  Misfit misfit;
  add_axis(misfit, height_mm, room.z);
  const pose_detail::Turn turn = pose_detail::best_turn(outline, room.x, room.y);
  misfit.along = turn.along;
  if (turn.spare_mm >= -pose_detail::kFitTolerance_mm) return misfit;
  double x0 = 0, x1 = 0, y0 = 0, y1 = 0;
  for (std::size_t i = 0; i < outline.size(); ++i) {
    const Vec2 p = outline[i] - outline[0];
    x0 = std::min(x0, dot(p, turn.along)), x1 = std::max(x1, dot(p, turn.along));
    y0 = std::min(y0, cross(turn.along, p)), y1 = std::max(y1, cross(turn.along, p));
  }
  add_axis(misfit, x1 - x0, room.x);
  add_axis(misfit, y1 - y0, room.y);
  return misfit;
}

bool fits_turned(std::span<const Vec3> points, Vec3 down, Vec3 along, Vec3 room) {
  const Vec3 flat = along - down * dot(down, along);
  if (norm(flat) < 0.5) return false;
  const Vec3 right = normalized(flat), across = cross(-down, right);
  double x0 = std::numeric_limits<double>::infinity(), x1 = -x0, y0 = x0, y1 = -x0;
  for (const Vec3 p : points) {
    const double x = dot(right, p), y = dot(across, p);
    x0 = std::min(x0, x), x1 = std::max(x1, x);
    y0 = std::min(y0, y), y1 = std::max(y1, y);
  }
  return x1 - x0 <= room.x + pose_detail::kFitTolerance_mm &&
         y1 - y0 <= room.y + pose_detail::kFitTolerance_mm;
}

}  // namespace seamwright::search
