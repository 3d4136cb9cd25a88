#include "seams/proxy.h"

#include <algorithm>

namespace seamwright::search {
namespace {

/// Points spread over a triangle: its centre and three towards the corners.
std::array<Vec3, 4> spread_points(const std::array<Vec3, 3>& c) {
  const Vec3 center = (c[0] + c[1] + c[2]) / 3;
  return {center, (center + c[0]) / 2, (center + c[1]) / 2, (center + c[2]) / 2};
}

/// The nearest face that looks the same way; in a thin wall the other side may be nearer, so the
/// second try starts outside.
std::optional<FaceId> face_at(const RayTree& tree, const Solid& part, Vec3 point, Vec3 normal) {
  constexpr double kOutside_mm = 1;
  for (const double out : {0.0, kOutside_mm}) {
    const std::optional<NearestPoint> near = tree.nearest(point + normal * out);
    if (near && dot(part.area_normal(near->face), normal) > 0) return near->face;
  }
  return std::nullopt;
}

}  // namespace

std::vector<double> carry_values(const Solid& part, const RayTree& part_tree,
                                 std::span<const double> face_values, const Solid& coarse) {
  const auto [least, most] = std::minmax_element(face_values.begin(), face_values.end());
  if (face_values.empty() || *least == *most) {
    return std::vector<double>(coarse.face_count(), face_values.empty() ? 1.0 : *least);
  }
  std::vector<double> values(coarse.face_count(), 1.0);
  for (std::size_t f = 0; f < values.size(); ++f) {
    const FaceId face = to_id<FaceId>(f);
    const Vec3 normal = normalized(coarse.area_normal(face));
    double sum = 0;
    int count = 0;
    for (const Vec3 p : spread_points(coarse.corners(face))) {
      const std::optional<FaceId> near = face_at(part_tree, part, p, normal);
      if (near) sum += face_values[to_index(*near)], ++count;
    }
    if (count > 0) values[f] = sum / count;
  }
  return values;
}

}  // namespace seamwright::search
