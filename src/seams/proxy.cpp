#include "seams/proxy.h"

#include <algorithm>

#include "seamwright/core/parallel.h"

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

StoodFor::StoodFor(const Solid& part, const RayTree& part_tree, const Solid& coarse, const Run& run)
    : part_(part) {
  faces_ = map_index(
      coarse.face_count(), run,
      [&](std::size_t f) {
        const FaceId face = to_id<FaceId>(f);
        const Vec3 normal = normalized(coarse.area_normal(face));
        std::vector<FaceId> faces;
        for (const Vec3 p : spread_points(coarse.corners(face))) {
          const std::optional<FaceId> near = face_at(part_tree, part, p, normal);
          if (near) faces.push_back(*near);
        }
        return faces;
      },
      256);
}

std::vector<double> StoodFor::means(std::span<const double> face_values) const {
  std::vector<double> values(faces_.size(), 1.0);
  if (face_values.empty()) return values;
  for (std::size_t f = 0; f < values.size(); ++f) {
    if (faces_[f].empty()) continue;
    double sum = 0;
    for (const FaceId face : faces_[f]) sum += face_values[to_index(face)];
    values[f] = sum / static_cast<double>(faces_[f].size());
  }
  return values;
}

Vec3 StoodFor::normal(std::size_t face, Vec3 own) const {
  Vec3 sum;
  for (const FaceId near : faces_[face]) sum += normalized(part_.area_normal(near));
  return norm(sum) > 0 ? normalized(sum) : own;
}

}  // namespace seamwright::search
