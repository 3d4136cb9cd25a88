#include "seamwright/query/simplify.h"

#include <meshoptimizer.h>

#include <algorithm>
#include <map>

#include "query/nearest_face.h"

namespace seamwright {
namespace {

using Corners = std::array<unsigned, 3>;

/// Edge collapses only: each output corner is an input corner. Collapsing is a map of the vertices,
/// and a map of the vertices keeps directed edges balanced, so a closed mesh stays closed.
std::vector<Corners> collapse_edges(const Solid& solid, std::size_t face_count) {
  const Vec3 center = solid.box().center();
  std::vector<float> positions;
  positions.reserve(3 * solid.points().size());
  for (Vec3 p : solid.points()) {
    for (std::size_t k = 0; k < 3; ++k) positions.push_back(static_cast<float>(p[k] - center[k]));
  }
  std::vector<unsigned> indices;
  indices.reserve(3 * solid.face_count());
  for (const Triangle& t : solid.triangles()) {
    for (VertexId v : t) indices.push_back(static_cast<unsigned>(v));
  }
  std::vector<unsigned> out(indices.size());
  constexpr float kAnyError = 1e9F;
  out.resize(meshopt_simplify(out.data(), indices.data(), indices.size(), positions.data(),
                              solid.points().size(), 3 * sizeof(float), 3 * face_count, kAnyError,
                              0, nullptr));
  std::vector<Corners> faces;
  for (std::size_t i = 0; i + 2 < out.size(); i += 3)
    faces.push_back({out[i], out[i + 1], out[i + 2]});
  return faces;
}

/// Drops faces that repeat a corner, and pairs of faces that cancel each other (where a thin bit
/// was pressed flat).
std::vector<Corners> drop_flat_pairs(const std::vector<Corners>& faces) {
  std::map<Corners, std::vector<std::size_t>> ups, downs;  // by sorted corners; even and odd order
  std::vector<bool> is_dropped(faces.size(), false);
  for (std::size_t f = 0; f < faces.size(); ++f) {
    const auto& [a, b, c] = faces[f];
    is_dropped[f] = a == b || b == c || c == a;
    if (is_dropped[f]) continue;
    Corners key = faces[f];
    std::sort(key.begin(), key.end());
    const bool is_even = (a < b) + (b < c) + (c < a) == 2;
    auto& same = is_even ? ups[key] : downs[key];
    auto& opposite = is_even ? downs[key] : ups[key];
    if (opposite.empty()) {
      same.push_back(f);
    } else {
      is_dropped[f] = is_dropped[opposite.back()] = true;
      opposite.pop_back();
    }
  }
  std::vector<Corners> kept;
  for (std::size_t f = 0; f < faces.size(); ++f) {
    if (!is_dropped[f]) kept.push_back(faces[f]);
  }
  return kept;
}

/// Each face takes the origin of the nearest face of the original that looks the same way: without
/// the normal, a wide face of a thin wall would find the wall's other side.
std::vector<Origin> find_origins(const Solid& solid, const TriangleSoup& coarse) {
  EmbreeScene scene(solid.box().center(), norm(solid.box().size()) / 2);
  scene.add(solid.points(), solid.triangles());
  scene.commit();
  std::vector<Origin> origins;
  origins.reserve(coarse.triangles.size());
  for (const Triangle& t : coarse.triangles) {
    const Vec3 a = coarse.points[to_index(t[0])], b = coarse.points[to_index(t[1])],
               c = coarse.points[to_index(t[2])];
    const Vec3 normal = normalized(cross(b - a, c - a)), center = (a + b + c) / 3;
    const auto looks_alike = [&](FaceId f) {
      return dot(normalized(solid.area_normal(f)), normal) > 0.3;
    };
    std::optional<NearestPoint> found = nearest_face(scene, solid, center, 1e9, looks_alike);
    if (!found) found = nearest_face(scene, solid, center, 1e9, [](FaceId) { return true; });
    origins.push_back(solid.origin(found->face));
  }
  return origins;
}

TriangleSoup gather(const Solid& solid, const std::vector<Corners>& faces) {
  constexpr VertexId kUnused{~0U};
  std::vector<VertexId> place(solid.points().size(), kUnused);
  TriangleSoup coarse;
  for (const Corners& face : faces) {
    Triangle triangle{};
    for (std::size_t k = 0; k < 3; ++k) {
      VertexId& at = place[face[k]];
      if (at == kUnused) {
        at = to_id<VertexId>(coarse.points.size());
        coarse.points.push_back(solid.points()[face[k]]);
      }
      triangle[k] = at;
    }
    coarse.triangles.push_back(triangle);
  }
  return coarse;
}

}  // namespace

Solid simplify(const Solid& solid, std::size_t face_count) {
  // A stop that pressed the body flat or inside out is not a stand-in: try less, at last nothing.
  for (std::size_t goal = std::max<std::size_t>(face_count, 4); goal < solid.face_count();
       goal *= 2) {
    TriangleSoup coarse = gather(solid, drop_flat_pairs(collapse_edges(solid, goal)));
    if (coarse.triangles.empty()) continue;
    coarse.origins = find_origins(solid, coarse);
    Result<Solid> made = Solid::make(std::move(coarse));
    if (made) return std::move(made).value();
  }
  return solid;
}

}  // namespace seamwright
