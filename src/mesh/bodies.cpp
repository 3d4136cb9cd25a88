#include "mesh/bodies.h"

#include <map>
#include <optional>

#include "mesh/ray_probe.h"

namespace seamwright {
namespace {

Vec3 center_of(std::span<const Vec3> points, const Triangle& t) {
  return (points[to_index(t[0])] + points[to_index(t[1])] + points[to_index(t[2])]) / 3;
}

double twice_area(std::span<const Vec3> points, const Triangle& t) {
  const Vec3 a = points[to_index(t[0])];
  return norm(cross(points[to_index(t[1])] - a, points[to_index(t[2])] - a));
}

std::vector<double> signed_volumes(const Bodies& bodies, std::span<const Vec3> points,
                                   std::span<const Triangle> triangles) {
  std::vector<double> volume(bodies.count, 0);
  // About a point of each body, so that far-off bodies lose no digits.
  std::vector<Vec3> origin(bodies.count);
  std::vector<bool> is_set(bodies.count, false);
  for (std::size_t f = 0; f < triangles.size(); ++f) {
    const std::uint32_t b = bodies.of_face[f];
    const Triangle& t = triangles[f];
    if (!is_set[b]) origin[b] = points[to_index(t[0])];
    is_set[b] = true;
    volume[b] +=
        dot(points[to_index(t[0])] - origin[b],
            cross(points[to_index(t[1])] - origin[b], points[to_index(t[2])] - origin[b])) /
        6;
  }
  return volume;
}

/// The largest face of each body: a ray from its middle starts well off the edges.
std::vector<std::uint32_t> largest_faces(const Bodies& bodies, std::span<const Vec3> points,
                                         std::span<const Triangle> triangles) {
  std::vector<std::uint32_t> largest(bodies.count, 0);
  std::vector<double> area(bodies.count, -1);
  for (std::uint32_t f = 0; f < triangles.size(); ++f) {
    const std::uint32_t b = bodies.of_face[f];
    const double twice = twice_area(points, triangles[f]);
    if (twice > area[b]) {
      area[b] = twice;
      largest[b] = f;
    }
  }
  return largest;
}

}  // namespace

Bodies find_bodies(std::span<const Vec3> points, std::span<const Triangle> triangles,
                   std::span<const EdgeUse> uses) {
  Sets sets(triangles.size());
  for_each_edge(uses, [&](std::span<const EdgeUse> edge) {
    if (edge.size() == 2) sets.join(edge[0].face, edge[1].face);
  });
  Sets joined = sets;
  for_each_edge(uses, [&](std::span<const EdgeUse> edge) {
    if (edge.size() < 3) return;
    std::map<std::uint32_t, std::size_t> by_patch;
    for (const EdgeUse& use : edge) ++by_patch[sets.root(use.face)];
    std::optional<std::uint32_t> first;
    for (const auto& [patch, count] : by_patch) {
      if (count % 2 == 0) continue;
      if (first) joined.join(*first, patch);
      first = patch;
    }
  });
  Bodies bodies;
  bodies.of_face = joined.labels(bodies.count);
  bodies.volume_mm3 = signed_volumes(bodies, points, triangles);
  bodies.around.resize(bodies.count);
  return bodies;
}

void find_nesting(Bodies& bodies, std::span<const Vec3> points,
                  std::span<const Triangle> triangles) {
  if (bodies.count < 2) return;
  const RayProbe probe(points, triangles);
  const std::vector<std::uint32_t> start = largest_faces(bodies, points, triangles);
  for (std::uint32_t b = 0; b < bodies.count; ++b) {
    Random random(1, b);
    std::map<std::uint32_t, int> votes;
    for (int ray = 0; ray < 3; ++ray) {
      std::map<std::uint32_t, int> crossings;
      for (const RayProbe::Hit& hit :
           probe.hits(center_of(points, triangles[start[b]]), random.direction())) {
        ++crossings[bodies.of_face[hit.face]];
      }
      for (const auto& [body, count] : crossings) votes[body] += count % 2;
    }
    bodies.around[b].clear();
    for (const auto& [body, count] : votes) {
      if (body != b && count >= 2) bodies.around[b].push_back(body);
    }
  }
}

}  // namespace seamwright
