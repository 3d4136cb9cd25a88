#include "seams/proxy.h"

#include <algorithm>

#include "seamwright/query/ray_tree.h"

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

std::vector<double> carry_sight(const Solid& part, std::span<const double> face_sight,
                                const Solid& coarse) {
  const auto [least, most] = std::minmax_element(face_sight.begin(), face_sight.end());
  if (face_sight.empty() || *least == *most) {
    return std::vector<double>(coarse.face_count(), face_sight.empty() ? 1.0 : *least);
  }
  const RayTree tree(part);
  std::vector<double> sight(coarse.face_count(), 1.0);
  for (std::size_t f = 0; f < sight.size(); ++f) {
    const FaceId face = to_id<FaceId>(f);
    const Vec3 normal = normalized(coarse.area_normal(face));
    double sum = 0;
    int count = 0;
    for (const Vec3 p : spread_points(coarse.corners(face))) {
      const std::optional<FaceId> near = face_at(tree, part, p, normal);
      if (near) sum += face_sight[to_index(*near)], ++count;
    }
    if (count > 0) sight[f] = sum / count;
  }
  return sight;
}

}  // namespace seamwright::search
