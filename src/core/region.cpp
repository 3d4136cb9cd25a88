#include "seamwright/core/region.h"

namespace seamwright {
namespace {

bool crosses_ray(Vec2 a, Vec2 b, Vec2 p) {
  if ((a.y > p.y) == (b.y > p.y)) return false;
  return p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y);
}

bool loop_contains(const Loop2& loop, Vec2 p) {
  bool inside = false;
  for (std::size_t i = 0; i < loop.size(); ++i) {
    if (crosses_ray(loop[i], loop[(i + 1) % loop.size()], p)) inside = !inside;
  }
  return inside;
}

double segment_distance_mm(Vec2 a, Vec2 b, Vec2 p) {
  const Vec2 along = b - a;
  const double length2 = dot(along, along);
  const double t = length2 > 0 ? std::clamp(dot(p - a, along) / length2, 0.0, 1.0) : 0.0;
  return norm(p - (a + along * t));
}

double loop_distance_mm(const Loop2& loop, Vec2 p) {
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < loop.size(); ++i) {
    nearest = std::min(nearest, segment_distance_mm(loop[i], loop[(i + 1) % loop.size()], p));
  }
  return nearest;
}

}  // namespace

double loop_area_mm2(const Loop2& loop) {
  double twice = 0;
  for (std::size_t i = 1; i + 1 < loop.size(); ++i) {
    twice += cross(loop[i] - loop[0], loop[i + 1] - loop[0]);
  }
  return twice / 2;
}

double region_area_mm2(const Region2& region) {
  double area = loop_area_mm2(region.outer);
  for (const Loop2& hole : region.holes) area += loop_area_mm2(hole);
  return area;
}

bool region_contains(const Region2& region, Vec2 p) {
  bool inside = loop_contains(region.outer, p);
  for (const Loop2& hole : region.holes) inside ^= loop_contains(hole, p);
  return inside;
}

double region_edge_distance_mm(const Region2& region, Vec2 p) {
  double nearest = loop_distance_mm(region.outer, p);
  for (const Loop2& hole : region.holes) nearest = std::min(nearest, loop_distance_mm(hole, p));
  return nearest;
}

}  // namespace seamwright
