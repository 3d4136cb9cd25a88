#include "wiring/sweep_rings.h"

#include <cmath>

namespace seamwright::wiring_detail {

std::size_t side_count(double radius_mm) {
  const double half_angle = std::acos(radius_mm / (radius_mm + 0.02));
  return std::max<std::size_t>(12,
                               static_cast<std::size_t>(std::ceil(std::numbers::pi / half_angle)));
}

std::vector<Vec3> circle_round(Vec3 centre, Vec3 right, Vec3 up, double radius_mm,
                               std::size_t sides) {
  const double corner_mm = radius_mm / std::cos(std::numbers::pi / static_cast<double>(sides));
  std::vector<Vec3> ring;
  for (std::size_t k = 0; k < sides; ++k) {
    const double angle = 2 * std::numbers::pi * static_cast<double>(k) / static_cast<double>(sides);
    ring.push_back(centre + (right * std::cos(angle) + up * std::sin(angle)) * corner_mm);
  }
  return ring;
}

Solid sweep_rings(const Rings& rings, Vec3 first_middle, Vec3 last_middle, Origin origin) {
  require(rings.size() >= 2, "a sweep has two ends");
  const std::size_t sides = rings.front().size(), count = rings.size();
  std::vector<Vec3> points;
  for (const std::vector<Vec3>& ring : rings) points.insert(points.end(), ring.begin(), ring.end());
  std::vector<Triangle> triangles;
  const auto at = [sides](std::size_t ring, std::size_t k) {
    return to_id<VertexId>(ring * sides + k % sides);
  };
  for (std::size_t i = 0; i + 1 < count; ++i) {
    for (std::size_t k = 0; k < sides; ++k) {
      triangles.push_back({at(i, k), at(i, k + 1), at(i + 1, k + 1)});
      triangles.push_back({at(i, k), at(i + 1, k + 1), at(i + 1, k)});
    }
  }
  const auto first = to_id<VertexId>(points.size()), last = to_id<VertexId>(points.size() + 1);
  points.push_back(first_middle);
  points.push_back(last_middle);
  for (std::size_t k = 0; k < sides; ++k) {
    triangles.push_back({first, at(0, k + 1), at(0, k)});
    triangles.push_back({last, at(count - 1, k), at(count - 1, k + 1)});
  }
  double six_mm3 = 0;
  for (const Triangle& t : triangles) {
    const Vec3 a = points[to_index(t[0])] - first_middle, b = points[to_index(t[1])] - first_middle,
               c = points[to_index(t[2])] - first_middle;
    six_mm3 += dot(a, cross(b, c));
  }
  if (six_mm3 < 0) {
    for (Triangle& t : triangles) std::swap(t[1], t[2]);
  }
  std::vector<Origin> origins(triangles.size(), origin);
  return Solid::adopt(std::move(points), std::move(triangles), std::move(origins));
}

}  // namespace seamwright::wiring_detail
