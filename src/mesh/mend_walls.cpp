#include <map>
#include <set>

#include "mesh/draft.h"
#include "mesh/ray_probe.h"
#include "seamwright/core/random.h"

namespace seamwright {
namespace {

constexpr int kMostRounds = 16;

/// Faces joined across the edges that two faces share, and what borders each such patch.
struct Patches {
  std::size_t count = 0;
  std::vector<std::uint32_t> of_face;
  std::vector<std::size_t> face_count, free_edges, odd_edges;

  explicit Patches(const Draft& draft) {
    const std::vector<EdgeUse> uses = draft.edge_uses();
    Sets sets(draft.triangles.size());
    for_each_edge(uses, [&](std::span<const EdgeUse> e) {
      if (e.size() == 2) sets.join(e[0].face, e[1].face);
    });
    of_face = sets.labels(count);
    face_count.resize(count);
    free_edges.resize(count);
    odd_edges.resize(count);
    for (std::uint32_t p : of_face) ++face_count[p];
    for_each_edge(uses, [&](std::span<const EdgeUse> e) {
      if (e.size() == 1) ++free_edges[of_face[e[0].face]];
      if (e.size() < 3 || e.size() % 2 == 0) return;
      for (const EdgeUse& use : e) ++odd_edges[of_face[use.face]];
    });
  }
};

/// Whether the patch lies inside what the other patches enclose: majority of three rays.
bool is_inside_others(const Draft& draft, const Patches& patches, const RayProbe& probe,
                      std::uint32_t patch) {
  std::size_t face = 0;
  while (patches.of_face[face] != patch) ++face;
  const Triangle& t = draft.triangles[face];
  const Vec3 from =
      (draft.points[to_index(t[0])] + draft.points[to_index(t[1])] + draft.points[to_index(t[2])]) /
      3;
  Random random(2, patch);
  int votes = 0;
  for (int ray = 0; ray < 3; ++ray) {
    std::size_t crossings = 0;
    for (const RayProbe::Hit& hit : probe.hits(from, random.direction())) {
      crossings += patches.of_face[hit.face] != patch ? 1 : 0;
    }
    votes += static_cast<int>(crossings % 2);
  }
  return votes >= 2;
}

/// The smallest patch that hangs on others by an edge of three faces: with a free rim, or wholly
/// inside.
std::optional<std::uint32_t> find_hanging(const Draft& draft, const Patches& patches) {
  std::optional<std::uint32_t> found;
  std::optional<RayProbe> probe;
  for (std::uint32_t p = 0; p < patches.count; ++p) {
    if (patches.odd_edges[p] == 0) continue;
    if (found && patches.face_count[p] >= patches.face_count[*found]) continue;
    if (patches.free_edges[p] == 0) {
      if (!probe) probe.emplace(draft.points, draft.triangles);
      if (!is_inside_others(draft, patches, *probe, p)) continue;
    }
    found = p;
  }
  return found;
}

}  // namespace

void drop_hanging_walls(Draft& draft) {
  std::size_t walls = 0, faces = 0;
  for (int round = 0; round < kMostRounds; ++round) {
    const Patches patches(draft);
    const std::optional<std::uint32_t> hanging = find_hanging(draft, patches);
    if (!hanging || 2 * patches.face_count[*hanging] > draft.triangles.size()) break;
    faces += draft.keep_faces([&](std::size_t f) { return patches.of_face[f] != *hanging; });
    ++walls;
  }
  if (walls == 0) return;
  draft.steps.push_back({"drop-hanging-walls", faces,
                         std::to_string(walls) + " walls without thickness on or in a body"});
}

}  // namespace seamwright
