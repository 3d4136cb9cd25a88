#include "seams/far_points.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "pose/outline.h"

namespace seamwright::search {
namespace {

/// Drops points within the octagon of the extremes along both axes and both diagonals.
void drop_inside(std::vector<Vec2>& points) {
  if (points.size() < 24) return;
  const std::array<Vec2, 8> at = pose_detail::extremes(points);
  std::array<Vec2, 8> edge;
  for (std::size_t i = 0; i < 8; ++i) edge[i] = at[(i + 1) % 8] - at[i];
  std::erase_if(points, [&](Vec2 p) {
    for (std::size_t i = 0; i < 8; ++i) {
      if ((edge[i].x != 0 || edge[i].y != 0) && cross(edge[i], p - at[i]) < 1e-6) return false;
    }
    return true;
  });
}

/// To the nearest 2⁻²⁰ mm, for lengths under 2³¹ mm: a sum this large has no finer bits left.
double snapped(double mm) {
  constexpr double kNoFinerBits = 0x1.8p32;
  return mm + kNoFinerBits - kNoFinerBits;
}

}  // namespace

Vec3 spread_direction(int k, int n) {
  const double z = 1 - (2 * k + 1.0) / n, phi = 2.399963229728653 * k;
  const double r = std::sqrt(1 - z * z);
  return {r * std::cos(phi), r * std::sin(phi), z};
}

std::optional<Vec3> hull_facet_near(std::span<const Vec3> points, Vec3 down) {
  const auto far = std::max_element(points.begin(), points.end(),
                                    [&](Vec3 a, Vec3 b) { return dot(a, down) < dot(b, down); });
  const Vec3 a = *far;
  const auto roll = [&](Vec3 axis, Vec3 facing) -> std::optional<Vec3> {
    // Turning `facing` about `axis` through a: the point with the least turn stops it.
    const Vec3 side = cross(axis, facing);
    double least = std::numeric_limits<double>::infinity();
    std::optional<Vec3> met;
    for (const Vec3 p : points) {
      const double up = -dot(p - a, facing), out = dot(p - a, side);
      if (out <= 1e-9) continue;
      if (up / out < least) least = up / out, met = p;
    }
    return met;
  };
  const Vec3 axis = any_perpendicular(down);
  const std::optional<Vec3> b = roll(axis, down);
  if (!b) return std::nullopt;
  const Vec3 edge = normalized(*b - a);
  Vec3 facing = normalized(cross(edge, axis));
  if (dot(facing, down) < 0) facing = -facing;
  std::optional<Vec3> c = roll(edge, facing);
  if (!c) return std::nullopt;
  Vec3 normal = normalized(cross(*b - a, *c - a));
  if (dot(normal, facing) < 0) normal = -normal;
  return norm(normal) > 0.5 ? std::optional(normal) : std::nullopt;
}

std::vector<Vec3> farthest_points(std::span<const Vec3> points) {
  constexpr int kDirections = 48;
  std::vector<Vec3> far;
  for (int k = 0; k < kDirections; ++k) {
    const Vec3 d = spread_direction(k, kDirections);
    Vec3 best = points[0];
    double most = dot(best, d);
    for (const Vec3 p : points) {
      const double along = dot(p, d);
      if (along > most) most = along, best = p;
    }
    if (std::find(far.begin(), far.end(), best) == far.end()) far.push_back(best);
  }
  return far;
}

std::vector<Vec2> quick_outline(std::vector<Vec2>& points) {
  drop_inside(points);
  // Points of one cut differ in their last bits; sorted by those, a side of the outline would run
  // to and fro and lose its corner.
  for (Vec2& p : points) p = {snapped(p.x), snapped(p.y)};
  std::sort(points.begin(), points.end(),
            [](Vec2 a, Vec2 b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
  std::vector<Vec2> hull;
  hull.reserve(points.size() + 1);
  const auto add = [&](Vec2 p, std::size_t least) {
    while (hull.size() > least &&
           cross(hull.back() - hull[hull.size() - 2], p - hull.back()) <= 1e-9) {
      hull.pop_back();
    }
    hull.push_back(p);
  };
  for (const Vec2 p : points) add(p, 1);
  const std::size_t upper = hull.size();
  for (auto p = points.rbegin() + (points.empty() ? 0 : 1); p < points.rend(); ++p) add(*p, upper);
  if (!hull.empty()) hull.pop_back();
  return hull.size() < 3 ? std::vector<Vec2>{} : hull;
}

}  // namespace seamwright::search
