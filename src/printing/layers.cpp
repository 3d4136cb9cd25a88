#include "seamwright/printing/layers.h"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

constexpr std::uint32_t kNone = 0xffffffffU;
constexpr std::size_t kLayersPerBlock = 64;

/// The mesh as the sweep sees it. Half-edge 3 f + k goes from corner k of face f to corner k + 1.
struct SweepMesh {
  std::vector<Vec3> points;
  std::span<const Triangle> triangles;
  std::vector<std::uint32_t> opposite;  ///< of each half-edge

  std::size_t corner(std::size_t face, std::size_t k) const { return to_index(triangles[face][k]); }
};

/// Pairs each half-edge with one that runs the other way between the same vertices. Counting sort
/// by the lower vertex: no hashing, and an edge of four faces is paired the same way every time.
std::vector<std::uint32_t> pair_half_edges(std::size_t point_count,
                                           std::span<const Triangle> triangles) {
  const std::size_t n = 3 * triangles.size();
  std::vector<std::uint32_t> first(point_count + 1, 0), order(n), opposite(n, kNone);
  const auto ends = [&](std::size_t h) {
    const Triangle& t = triangles[h / 3];
    return std::pair(to_index(t[h % 3]), to_index(t[(h % 3 + 1) % 3]));
  };
  for (std::size_t h = 0; h < n; ++h) {
    const auto [a, b] = ends(h);
    ++first[std::min(a, b) + 1];
  }
  for (std::size_t v = 0; v < point_count; ++v) first[v + 1] += first[v];
  std::vector<std::uint32_t> next(first.begin(), first.end() - 1);
  for (std::size_t h = 0; h < n; ++h) {
    const auto [a, b] = ends(h);
    order[next[std::min(a, b)]++] = static_cast<std::uint32_t>(h);
  }
  for (std::size_t v = 0; v < point_count; ++v) {
    for (std::uint32_t i = first[v]; i < first[v + 1]; ++i) {
      if (opposite[order[i]] != kNone) continue;
      const auto [a, b] = ends(order[i]);
      for (std::uint32_t j = i + 1; j < first[v + 1]; ++j) {
        if (opposite[order[j]] != kNone || ends(order[j]) != std::pair(b, a)) continue;
        opposite[order[i]] = order[j];
        opposite[order[j]] = order[i];
        break;
      }
    }
  }
  return opposite;
}

SweepMesh sweep_mesh(const Solid& solid, const Transform& bed_from_part, const Run& run) {
  SweepMesh mesh;
  mesh.triangles = solid.triangles();
  mesh.points = map_index(
      solid.points().size(), run,
      [&](std::size_t i) { return bed_from_part.apply(solid.points()[i]); }, 4096);
  mesh.opposite = pair_half_edges(mesh.points.size(), mesh.triangles);
  return mesh;
}

/// Faces that cross each plane: `faces[first[i] .. first[i + 1])` for plane i.
struct Buckets {
  std::vector<std::uint32_t> first, faces;
};

Buckets fill_buckets(const SweepMesh& mesh, std::span<const double> heights_mm, const Run& run) {
  struct Span {
    std::uint32_t begin, end;
  };
  const std::vector<Span> spans = map_index(
      mesh.triangles.size(), run,
      [&](std::size_t f) {
        const double a = mesh.points[mesh.corner(f, 0)].z, b = mesh.points[mesh.corner(f, 1)].z,
                     c = mesh.points[mesh.corner(f, 2)].z;
        // A plane p is crossed when one corner is below (z < p) and one is not: low < p <= high.
        const auto begin =
            std::upper_bound(heights_mm.begin(), heights_mm.end(), std::min({a, b, c}));
        auto end = begin;
        for (const double high = std::max({a, b, c}); end != heights_mm.end() && *end <= high;)
          ++end;
        return Span{static_cast<std::uint32_t>(begin - heights_mm.begin()),
                    static_cast<std::uint32_t>(end - heights_mm.begin())};
      },
      4096);
  Buckets buckets;
  buckets.first.assign(heights_mm.size() + 1, 0);
  for (const Span& span : spans) {
    for (std::uint32_t i = span.begin; i < span.end; ++i) ++buckets.first[i + 1];
  }
  for (std::size_t i = 0; i < heights_mm.size(); ++i) buckets.first[i + 1] += buckets.first[i];
  buckets.faces.resize(buckets.first.back());
  std::vector<std::uint32_t> next(buckets.first.begin(), buckets.first.end() - 1);
  for (std::size_t f = 0; f < spans.size(); ++f) {
    for (std::uint32_t i = spans[f].begin; i < spans[f].end; ++i) {
      buckets.faces[next[i]++] = static_cast<std::uint32_t>(f);
    }
  }
  return buckets;
}

/// The corners from which a crossed face's half-edges go down and up through the plane.
struct Crossing {
  std::size_t down, up;
};

Crossing crossing(const SweepMesh& mesh, std::size_t face, double z_mm) {
  bool above[3];
  for (std::size_t k = 0; k < 3; ++k) above[k] = mesh.points[mesh.corner(face, k)].z >= z_mm;
  Crossing found{0, 0};
  for (std::size_t k = 0; k < 3; ++k) {
    const bool next = above[(k + 1) % 3];
    if (above[k] && !next) found.down = k;
    if (!above[k] && next) found.up = k;
  }
  return found;
}

/// Where an edge meets the plane; computed from its lower end always, so that both faces of the
/// edge get the same bits.
Vec2 edge_point(const SweepMesh& mesh, std::size_t face, std::size_t corner, double z_mm) {
  const Vec3 above = mesh.points[mesh.corner(face, corner)];
  const Vec3 below = mesh.points[mesh.corner(face, (corner + 1) % 3)];
  const double t = (z_mm - below.z) / (above.z - below.z);
  return {below.x + (above.x - below.x) * t, below.y + (above.y - below.y) * t};
}

/// Walks from face to face until back at the first; false when a neighbour is missing.
bool walk_loop(const SweepMesh& mesh, std::uint32_t start, double z_mm, std::uint32_t stamp,
               std::vector<std::uint32_t>& seen, Loop2& loop) {
  std::uint32_t face = start;
  while (seen[face] != stamp) {
    seen[face] = stamp;
    const Crossing at = crossing(mesh, face, z_mm);
    loop.push_back(edge_point(mesh, face, at.down, z_mm));
    const std::uint32_t next = mesh.opposite[3 * face + at.up];
    if (next == kNone) return false;
    face = next / 3;
  }
  return face == start;
}

}  // namespace

Layers slice_layers(const Solid& solid, const Transform& bed_from_part,
                    std::span<const double> heights_mm, const Run& run) {
  require(std::is_sorted(heights_mm.begin(), heights_mm.end()), "layer heights ascend");
  const SweepMesh mesh = sweep_mesh(solid, bed_from_part, run);
  const Buckets buckets = fill_buckets(mesh, heights_mm, run);
  Layers out;
  out.layers.resize(heights_mm.size());
  const std::size_t blocks = (heights_mm.size() + kLayersPerBlock - 1) / kLayersPerBlock;
  const auto open_counts = map_index(blocks, run, [&](std::size_t b) {
    std::vector<std::uint32_t> seen(mesh.triangles.size(), kNone);
    std::size_t open_count = 0;
    const std::size_t end = std::min(heights_mm.size(), (b + 1) * kLayersPerBlock);
    for (std::size_t i = b * kLayersPerBlock; i < end && !run.should_stop(); ++i) {
      LayerLoops& layer = out.layers[i];
      layer.z_mm = heights_mm[i];
      for (std::uint32_t k = buckets.first[i]; k < buckets.first[i + 1]; ++k) {
        if (seen[buckets.faces[k]] == i) continue;
        Loop2 loop;
        const bool is_closed = walk_loop(mesh, buckets.faces[k], layer.z_mm,
                                         static_cast<std::uint32_t>(i), seen, loop);
        open_count += is_closed ? 0 : 1;
        if (is_closed && loop.size() >= 3) layer.loops.push_back(std::move(loop));
      }
    }
    return open_count;
  });
  for (const std::size_t count : open_counts) out.open_chain_count += count;
  return out;
}

std::vector<LayerSlab> layer_slabs(double piece_height_mm, double first_layer_mm, double layer_mm) {
  require(first_layer_mm > 0 && layer_mm > 0, "layers have a thickness");
  std::vector<LayerSlab> slabs{{0, first_layer_mm}};
  // A top that misses half a layer by rounding alone still gets that layer's middle outside.
  for (std::size_t i = 0;; ++i) {
    const LayerSlab slab{first_layer_mm + static_cast<double>(i) * layer_mm, layer_mm};
    if (slab.middle_mm() >= piece_height_mm - 1e-9) return slabs;
    slabs.push_back(slab);
  }
}

}  // namespace seamwright
