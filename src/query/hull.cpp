#include "seamwright/query/hull.h"

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <memory>
#include <set>

extern "C" {
#include <libqhull_r/qhull_ra.h>
}

namespace seamwright {
namespace {

/// Qhull's working memory, and a bin for what it would print.
class Qhull {
 public:
  Qhull() : bin_(open_memstream(&text_, &text_size_)) { qh_zero(&state_, bin_); }
  ~Qhull() {
    int kept = 0, total = 0;
    qh_freeqhull(&state_, !qh_ALL);
    qh_memfreeshort(&state_, &kept, &total);
    std::fclose(bin_);
    std::free(text_);
  }
  Qhull(const Qhull&) = delete;
  Qhull& operator=(const Qhull&) = delete;

  /// False: flat or otherwise without a hull in space.
  bool run(std::vector<double>& coordinates) {
    char command[] = "qhull";
    const int count = static_cast<int>(coordinates.size() / 3);
    return qh_new_qhull(&state_, 3, count, coordinates.data(), False, command, bin_, bin_) == 0;
  }
  qhT* state() { return &state_; }

 private:
  qhT state_{};
  char* text_ = nullptr;
  std::size_t text_size_ = 0;
  std::FILE* bin_;
};

/// The input positions of a facet's corners, counter-clockwise seen from outside. Merged facets are
/// followed along their ridges, each of which belongs to two facets, so that edges always balance.
std::vector<std::size_t> facet_cycle(qhT* qh, facetT* facet) {
  std::vector<std::size_t> cycle;
  setT* vertices = qh_facet3vertex(qh, facet);
  vertexT *vertex, **vertexp;
  FOREACHvertex_(vertices) {
    cycle.push_back(static_cast<std::size_t>(qh_pointid(qh, vertex->point)));
  }
  qh_settempfree(qh, &vertices);
  std::reverse(cycle.begin(), cycle.end());  // Qhull goes round clockwise
  return cycle;
}

/// Fills a convex cycle with triangles, the roundest ear first, so that corners in a line give no
/// triangle without area as long as another choice is left.
void fill_cycle(std::vector<std::size_t> cycle, std::span<const Vec3> points,
                std::vector<std::array<std::size_t, 3>>& triangles) {
  const auto roundness_of = [&](std::size_t a, std::size_t b, std::size_t c) {
    const Vec3 ab = points[b] - points[a], bc = points[c] - points[b], ca = points[a] - points[c];
    const double sum = dot(ab, ab) + dot(bc, bc) + dot(ca, ca);
    return sum > 0 ? norm(cross(ab, bc)) / sum : 0.0;
  };
  while (cycle.size() > 3) {
    std::size_t best = 0;
    double best_roundness = -1;
    for (std::size_t i = 0; i < cycle.size(); ++i) {
      const std::size_t n = cycle.size();
      const double roundness = roundness_of(cycle[(i + n - 1) % n], cycle[i], cycle[(i + 1) % n]);
      if (roundness > best_roundness) best = i, best_roundness = roundness;
    }
    const std::size_t n = cycle.size();
    triangles.push_back({cycle[(best + n - 1) % n], cycle[best], cycle[(best + 1) % n]});
    cycle.erase(cycle.begin() + static_cast<std::ptrdiff_t>(best));
  }
  triangles.push_back({cycle[0], cycle[1], cycle[2]});
}

/// Corners renumbered in the order of their first use.
Hull gather(std::span<const Vec3> points,
            const std::vector<std::array<std::size_t, 3>>& triangles) {
  constexpr VertexId kUnused{~0U};
  std::vector<VertexId> place(points.size(), kUnused);
  Hull hull;
  for (const auto& corners : triangles) {
    Triangle triangle{};
    for (std::size_t k = 0; k < 3; ++k) {
      VertexId& at = place[corners[k]];
      if (at == kUnused) {
        at = to_id<VertexId>(hull.points.size());
        hull.points.push_back(points[corners[k]]);
      }
      triangle[k] = at;
    }
    hull.triangles.push_back(triangle);
  }
  return hull;
}

/// A point on the snapping grid; products of three such numbers' differences stay exact in 128
/// bits.
struct GridPoint {
  std::int64_t x, y;
  friend auto operator<=>(const GridPoint&, const GridPoint&) = default;
};
__extension__ using Wide = __int128;

bool turns_left(GridPoint a, GridPoint b, GridPoint c) {
  return static_cast<Wide>(b.x - a.x) * (c.y - a.y) - static_cast<Wide>(b.y - a.y) * (c.x - a.x) >
         0;
}

/// One chain of the hull through `sorted`, both ends included.
template <class Range>
std::vector<GridPoint> half_hull(const Range& sorted) {
  std::vector<GridPoint> chain;
  for (GridPoint p : sorted) {
    while (chain.size() >= 2 && !turns_left(chain[chain.size() - 2], chain.back(), p))
      chain.pop_back();
    chain.push_back(p);
  }
  return chain;
}

}  // namespace

std::vector<Vec2> convex_hull(std::vector<Vec2> points) {
  constexpr double kGridPerMm = 1e7;
  std::vector<GridPoint> grid;
  grid.reserve(points.size());
  for (Vec2 p : points)
    grid.push_back({std::llround(p.x * kGridPerMm), std::llround(p.y * kGridPerMm)});
  std::sort(grid.begin(), grid.end());
  grid.erase(std::unique(grid.begin(), grid.end()), grid.end());
  std::vector<GridPoint> lower = half_hull(grid);
  std::reverse(grid.begin(), grid.end());
  const std::vector<GridPoint> upper = half_hull(grid);
  if (lower.size() + upper.size() < 5) return {};  // a point or a line: no outline
  lower.pop_back();
  lower.insert(lower.end(), upper.begin(), upper.end() - 1);
  std::vector<Vec2> outline;
  for (GridPoint p : lower) {
    outline.push_back(
        {static_cast<double>(p.x) / kGridPerMm, static_cast<double>(p.y) / kGridPerMm});
  }
  return outline;
}

Hull convex_hull(std::span<const Vec3> points) {
  if (points.size() < 4) return {};
  std::vector<double> coordinates;
  coordinates.reserve(3 * points.size());
  for (Vec3 p : points) coordinates.insert(coordinates.end(), {p.x, p.y, p.z});
  Qhull qhull;
  if (!qhull.run(coordinates)) return {};
  std::vector<std::array<std::size_t, 3>> triangles;
  facetT* facet;
  qhT* qh = qhull.state();
  FORALLfacets {
    const std::vector<std::size_t> cycle = facet_cycle(qh, facet);
    if (cycle.size() >= 3) fill_cycle(cycle, points, triangles);
  }
  return gather(points, triangles);
}

}  // namespace seamwright
