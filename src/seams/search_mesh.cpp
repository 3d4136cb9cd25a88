#include "seams/search_mesh.h"

#include <cmath>
#include <map>

namespace seamwright::search {
namespace {

using PlaneKey = std::array<long long, 4>;

/// Faces of one plane share a key: normals agree to 1e-3, offsets to 0.02 mm (what a bed forgives).
/// A plane on the border of two keys may be found as two sides; a side lost so is only a foot less.
PlaneKey plane_key(Vec3 normal, double offset_mm) {
  return {std::llround(normal.x * 1e3), std::llround(normal.y * 1e3), std::llround(normal.z * 1e3),
          std::llround(offset_mm * 20)};
}

struct FlatGroup {
  double area_mm2 = 0;
  Vec3 area_normal;
  double weighted_offset = 0;
  std::vector<std::size_t> faces;
};

void find_flats(SearchMesh& mesh, double least_flat_mm2) {
  std::map<PlaneKey, FlatGroup> groups;
  for (std::size_t f = 0; f < mesh.triangles.size(); ++f) {
    if (!mesh.facts[f].is_skin) continue;
    const Triangle& t = mesh.triangles[f];
    const Vec3 a = mesh.points[to_index(t[0])];
    const Vec3 twice = cross(mesh.points[to_index(t[1])] - a, mesh.points[to_index(t[2])] - a);
    const double area = norm(twice) / 2;
    if (area <= 0) continue;
    const double offset = dot(mesh.facts[f].normal, a);
    FlatGroup& group = groups[plane_key(mesh.facts[f].normal, offset)];
    group.area_mm2 += area;
    group.area_normal += twice / 2;
    group.weighted_offset += offset * area;
    group.faces.push_back(f);
  }
  for (const auto& [key, group] : groups) {
    if (group.area_mm2 < least_flat_mm2) continue;
    const auto id = static_cast<std::uint32_t>(mesh.flats.size());
    mesh.flats.push_back(
        {normalized(group.area_normal), group.weighted_offset / group.area_mm2, group.area_mm2});
    for (std::size_t f : group.faces) mesh.facts[f].flat = id;
  }
}

}  // namespace

SearchMesh make_search_mesh(const Solid& solid, const SkinView& skin, double least_flat_mm2) {
  require(skin.sight.size() == solid.face_count(), "one sight a face");
  require(skin.weight.empty() || skin.weight.size() == solid.face_count(), "one weight a face");
  SearchMesh mesh;
  mesh.points.assign(solid.points().begin(), solid.points().end());
  mesh.triangles.assign(solid.triangles().begin(), solid.triangles().end());
  mesh.facts.resize(solid.face_count());
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const auto [a, b, c] = solid.corners(to_id<FaceId>(f));
    mesh.facts[f].normal = normalized(cross(b - a, c - a));
    mesh.facts[f].sight = skin.sight[f];
    if (!skin.weight.empty()) mesh.facts[f].weight = skin.weight[f];
    mesh.facts[f].is_skin = solid.origins()[f].kind == OriginKind::skin;
    mesh.volume_mm3 += dot(a, cross(b, c)) / 6;
  }
  mesh.diameter_mm = norm(solid.box().size());
  find_flats(mesh, least_flat_mm2);
  return mesh;
}

}  // namespace seamwright::search
