#include "pose/outline.h"

#include <array>

#include "seamwright/query/hull.h"

namespace seamwright::pose_detail {
namespace {

/// Whether p is left of every edge of the octagon by more than the hull's snapping could move it.
bool is_plainly_inside(const std::array<Vec2, 8>& from, const std::array<Vec2, 8>& edge,
                       const std::array<double, 8>& margin, Vec2 p) {
  for (std::size_t i = 0; i < 8; ++i) {
    if (cross(edge[i], p - from[i]) < margin[i]) return false;
  }
  return true;
}

}  // namespace

std::array<Vec2, 8> extremes(std::span<const Vec2> points) {
  std::array<Vec2, 8> at;
  at.fill(points.front());
  for (const Vec2 p : points) {
    const double sum = p.x + p.y, difference = p.x - p.y;
    if (p.x > at[0].x) at[0] = p;
    if (sum > at[1].x + at[1].y) at[1] = p;
    if (p.y > at[2].y) at[2] = p;
    if (difference < at[3].x - at[3].y) at[3] = p;
    if (p.x < at[4].x) at[4] = p;
    if (sum < at[5].x + at[5].y) at[5] = p;
    if (p.y < at[6].y) at[6] = p;
    if (difference > at[7].x - at[7].y) at[7] = p;
  }
  return at;
}

std::vector<Vec2> outline_of(std::vector<Vec2>& points) {
  if (points.size() > 16) {
    const std::array<Vec2, 8> from = extremes(points);
    std::array<Vec2, 8> edge;
    std::array<double, 8> margin;
    for (std::size_t i = 0; i < 8; ++i) {
      edge[i] = from[(i + 1) % 8] - from[i];
      margin[i] = 1e-6 * norm(edge[i]);
    }
    std::erase_if(points, [&](Vec2 p) { return is_plainly_inside(from, edge, margin, p); });
  }
  return convex_hull(std::move(points));
}

double least_width(std::span<const Vec2> outline) {
  const std::size_t n = outline.size();
  if (n < 3) return 0;
  double least = std::numeric_limits<double>::infinity();
  std::size_t far = 1;
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2 edge = normalized(outline[(i + 1) % n] - outline[i]);
    const auto height = [&](std::size_t k) { return cross(edge, outline[k % n] - outline[i]); };
    while (height(far + 1) > height(far)) ++far;
    least = std::min(least, height(far));
  }
  return least;
}

double depth_inside(std::span<const Vec2> outline, Vec2 p) {
  const std::size_t n = outline.size();
  double inside = std::numeric_limits<double>::infinity(), away = inside;
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2 a = outline[i], along = outline[(i + 1) % n] - a;
    const double length = norm(along);
    const double t = length > 0 ? std::clamp(dot(p - a, along) / (length * length), 0.0, 1.0) : 0.0;
    away = std::min(away, norm(p - a - along * t));
    if (length > 0) inside = std::min(inside, cross(along, p - a) / length);
  }
  if (n == 0) return -std::numeric_limits<double>::max();
  return n >= 3 && inside >= 0 ? inside : -away;
}

}  // namespace seamwright::pose_detail
