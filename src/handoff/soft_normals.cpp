#include "handoff/soft_normals.h"

namespace seamwright {
namespace {

constexpr std::size_t kMostFaces = 64;
const double kSoftCosine = std::cos(Angle::degrees(35).radians());

/// The corners (3 · face + k) at each vertex, in one list with starts.
struct CornersAt {
  std::vector<std::uint32_t> starts, corners;
  explicit CornersAt(const Solid& solid)
      : starts(solid.points().size() + 1, 0), corners(3 * solid.face_count()) {
    for (const Triangle& t : solid.triangles())
      for (const VertexId v : t) ++starts[to_index(v) + 1];
    for (std::size_t i = 1; i < starts.size(); ++i) starts[i] += starts[i - 1];
    std::vector<std::uint32_t> next(starts.begin(), starts.end() - 1);
    for (std::uint32_t c = 0; c < corners.size(); ++c) {
      corners[next[to_index(solid.triangles()[c / 3][c % 3])]++] = c;
    }
  }
};

double corner_angle(const Solid& solid, std::uint32_t corner) {
  const auto p = solid.corners(to_id<FaceId>(corner / 3));
  const std::size_t k = corner % 3;
  const Vec3 a = normalized(p[(k + 1) % 3] - p[k]), b = normalized(p[(k + 2) % 3] - p[k]);
  return std::acos(std::clamp(dot(a, b), -1.0, 1.0));
}

}  // namespace

Vec3 SoftNormals::at(float u, float v) const {
  const float w = 1 - u - v;
  Vec3 sum;
  for (std::size_t k = 0; k < 3; ++k) {
    sum[k] = static_cast<double>(w * corners[0][k] + u * corners[1][k] + v * corners[2][k]);
  }
  return normalized(sum);
}

std::vector<SoftNormals> soft_normals(const Solid& solid) {
  std::vector<Vec3> flat;
  flat.reserve(solid.face_count());
  for (std::size_t f = 0; f < solid.face_count(); ++f)
    flat.push_back(normalized(solid.area_normal(to_id<FaceId>(f))));
  std::vector<float> angles(3 * solid.face_count());
  for (std::uint32_t c = 0; c < angles.size(); ++c)
    angles[c] = static_cast<float>(corner_angle(solid, c));
  const CornersAt around(solid);
  std::vector<SoftNormals> normals(solid.face_count());
  for (std::uint32_t c = 0; c < angles.size(); ++c) {
    const std::size_t vertex = to_index(solid.triangles()[c / 3][c % 3]);
    const std::size_t begin = around.starts[vertex], end = around.starts[vertex + 1];
    const Vec3 own = flat[c / 3];
    Vec3 sum = own * 1e-6;
    for (std::size_t i = begin; i < end && end - begin <= kMostFaces; ++i) {
      const std::uint32_t other = around.corners[i];
      const bool is_same_kind = (solid.origins()[other / 3].kind == OriginKind::skin) ==
                                (solid.origins()[c / 3].kind == OriginKind::skin);
      if (is_same_kind && dot(flat[other / 3], own) > kSoftCosine)
        sum += flat[other / 3] * static_cast<double>(angles[other]);
    }
    const Vec3 soft = normalized(sum);
    for (std::size_t k = 0; k < 3; ++k)
      normals[c / 3].corners[c % 3][k] = static_cast<float>(soft[k]);
  }
  return normals;
}

}  // namespace seamwright
