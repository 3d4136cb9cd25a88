#include "seams/enclose.h"

#include <algorithm>
#include <cmath>

#include "seamwright/core/parallel.h"
#include "seamwright/query/ray_tree.h"

namespace seamwright::search {
namespace {

/// A point of the part outside the stand-in: by how much, of which face, and the shares of that
/// face's corners in the nearest point.
struct Outlier {
  double out_mm = 0;
  std::uint32_t face = 0;
  std::array<double, 3> share{};
};

std::array<Vec3, 3> corners_of(const SearchMesh& mesh, std::uint32_t face) {
  const Triangle& t = mesh.triangles[face];
  return {mesh.points[to_index(t[0])], mesh.points[to_index(t[1])], mesh.points[to_index(t[2])]};
}

/// Barycentric coordinates of a point of the face, none negative.
std::array<double, 3> shares_at(const std::array<Vec3, 3>& c, Vec3 p) {
  const Vec3 normal = cross(c[1] - c[0], c[2] - c[0]);
  const double all = dot(normal, normal);
  if (all <= 0) return {1.0 / 3, 1.0 / 3, 1.0 / 3};
  const double first = std::clamp(dot(cross(c[1] - p, c[2] - p), normal) / all, 0.0, 1.0);
  const double second = std::clamp(dot(cross(c[2] - p, c[0] - p), normal) / all, 0.0, 1 - first);
  return {first, second, 1 - first - second};
}

std::vector<Outlier> find_outliers(const SearchMesh& mesh, const Solid& part, const Run& run) {
  constexpr double kLeast_mm = 1e-3;
  std::vector<Origin> origins(mesh.triangles.size());
  const RayTree tree(Solid::adopt(mesh.points, mesh.triangles, std::move(origins)));
  std::vector<Outlier> all = map_index(
      part.points().size(), run,
      [&](std::size_t i) {
        const Vec3 p = part.points()[i];
        const std::optional<NearestPoint> near = tree.nearest(p);
        if (!near) return Outlier{};
        const auto face = static_cast<std::uint32_t>(near->face);
        if (dot(p - near->point, mesh.facts[face].normal) <= 0) return Outlier{};
        return Outlier{norm(p - near->point), face, shares_at(corners_of(mesh, face), near->point)};
      },
      256);
  std::erase_if(all, [](const Outlier& o) { return o.out_mm < kLeast_mm; });
  // What sticks out most first: much of the rest is inside then.
  std::stable_sort(all.begin(), all.end(),
                   [](const Outlier& a, const Outlier& b) { return a.out_mm > b.out_mm; });
  return all;
}

/// Which way each point moves: the mean of the normals about it; nowhere on a flat side.
std::vector<Vec3> ways_out(const SearchMesh& mesh) {
  std::vector<Vec3> ways(mesh.points.size());
  for (std::size_t f = 0; f < mesh.triangles.size(); ++f) {
    const auto c = corners_of(mesh, static_cast<std::uint32_t>(f));
    for (const VertexId v : mesh.triangles[f]) ways[to_index(v)] += cross(c[1] - c[0], c[2] - c[0]);
  }
  for (Vec3& way : ways) way = normalized(way);
  for (std::size_t f = 0; f < mesh.triangles.size(); ++f) {
    if (mesh.facts[f].flat == kNoFlat) continue;
    for (const VertexId v : mesh.triangles[f]) ways[to_index(v)] = {};
  }
  return ways;
}

}  // namespace

void enclose(SearchMesh& mesh, const Solid& part, const Swelling& swelling, const Run& run) {
  const double most_mm = swelling.most_mm;
  const std::vector<Outlier> outliers = find_outliers(mesh, part, run);
  const std::vector<Vec3> ways = ways_out(mesh);
  std::vector<double> moved_mm(mesh.points.size(), 0);
  for (const Outlier& outlier : outliers) {
    const Triangle& t = mesh.triangles[outlier.face];
    std::array<double, 3> lift{};
    double missing = std::min(outlier.out_mm, most_mm), length = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      // Across a sharp edge a point moves far before the face does: it is not asked to.
      constexpr double kLeastLift = 0.3;
      const double along = dot(ways[to_index(t[k])], mesh.facts[outlier.face].normal);
      lift[k] = along < kLeastLift ? 0 : outlier.share[k] * along;
      missing -= lift[k] * moved_mm[to_index(t[k])];
      length += lift[k] * lift[k];
    }
    if (missing <= 0 || length <= 0) continue;
    for (std::size_t k = 0; k < 3; ++k) {
      double& moved = moved_mm[to_index(t[k])];
      moved = std::min(most_mm, moved + missing * lift[k] / length);
    }
  }
  for (std::size_t v = 0; v < mesh.points.size(); ++v)
    mesh.points[v] += ways[v] * (swelling.share * moved_mm[v]);
}

}  // namespace seamwright::search
