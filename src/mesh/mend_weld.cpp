#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <span>

#include "mesh/draft.h"
#include "mesh/point_table.h"

namespace seamwright {
namespace {

constexpr std::array kTolerances{1e-7, 1e-6, 1e-5, 1e-4};  // of the size

bool is_degenerate(const Triangle& t) {
  return t[0] == t[1] || t[1] == t[2] || t[2] == t[0];
}

/// A face under its corners in rising order, so that faces on the same corners meet; `is_even`
/// tells which way round.
struct NamedFace {
  std::array<std::uint32_t, 3> corners{};
  std::uint32_t face = 0;
  bool is_even = true;
  friend bool operator<(const NamedFace& a, const NamedFace& b) {
    return a.corners != b.corners ? a.corners < b.corners : a.face < b.face;
  }
};

NamedFace name_face(const Triangle& t, std::uint32_t face) {
  NamedFace n{{static_cast<std::uint32_t>(t[0]), static_cast<std::uint32_t>(t[1]),
               static_cast<std::uint32_t>(t[2])},
              face,
              true};
  const auto order = [&](std::size_t a, std::size_t b) {
    if (n.corners[a] <= n.corners[b]) return;
    std::swap(n.corners[a], n.corners[b]);
    n.is_even = !n.is_even;
  };
  order(0, 1);
  order(1, 2);
  order(0, 1);
  return n;
}

/// Of faces on the same corners the first on the larger side stays; none when both sides have as
/// many.
void mark_duplicates(std::span<const NamedFace> same, std::vector<bool>& is_dropped) {
  const auto even =
      std::count_if(same.begin(), same.end(), [](const NamedFace& n) { return n.is_even; });
  const auto odd = std::ssize(same) - even;
  bool wants_one = even != odd;
  for (const NamedFace& n : same) {
    const bool stays = wants_one && n.is_even == (even > odd);
    is_dropped[n.face] = !stays;
    if (stays) wants_one = false;
  }
}

/// Points of edges with an odd number of faces, in order.
std::vector<std::uint32_t> open_points(const Draft& draft) {
  std::vector<std::uint32_t> points;
  for_each_edge(draft.edge_uses(), [&](std::span<const EdgeUse> edge) {
    if (edge.size() % 2 == 1) points.insert(points.end(), {edge[0].low, edge[0].high});
  });
  std::sort(points.begin(), points.end());
  points.erase(std::unique(points.begin(), points.end()), points.end());
  return points;
}

/// For every point of the draft the point it becomes when `candidates` within `reach` of each other
/// are one.
std::vector<std::uint32_t> clustered(const Draft& draft,
                                     const std::vector<std::uint32_t>& candidates, double reach) {
  using Cell = std::array<long long, 3>;
  std::map<Cell, std::vector<std::uint32_t>> cells;
  const auto cell_of = [&](Vec3 p) {
    return Cell{std::llround(std::floor(p.x / reach)), std::llround(std::floor(p.y / reach)),
                std::llround(std::floor(p.z / reach))};
  };
  Sets sets(draft.points.size());
  for (std::uint32_t i : candidates) {
    const Vec3 p = draft.points[i];
    const Cell c = cell_of(p);
    for (int k = 0; k < 27; ++k) {
      const auto near = cells.find({c[0] + k % 3 - 1, c[1] + k / 3 % 3 - 1, c[2] + k / 9 - 1});
      if (near == cells.end()) continue;
      for (std::uint32_t j : near->second) {
        if (norm(draft.points[j] - p) <= reach) sets.join(i, j);
      }
    }
    cells[c].push_back(i);
  }
  std::vector<std::uint32_t> becomes(draft.points.size());
  for (std::uint32_t i = 0; i < becomes.size(); ++i) becomes[i] = sets.root(i);
  return becomes;
}

std::size_t renumber(Draft& draft, const std::vector<std::uint32_t>& becomes) {
  std::size_t merged = 0;
  for (std::uint32_t i = 0; i < becomes.size(); ++i) merged += becomes[i] != i ? 1 : 0;
  for (Triangle& t : draft.triangles) {
    for (VertexId& v : t) v = VertexId{becomes[to_index(v)]};
  }
  return merged;
}

}  // namespace

std::size_t count_open_edges(const Draft& draft) {
  std::size_t count = 0;
  for_each_edge(draft.edge_uses(),
                [&](std::span<const EdgeUse> edge) { count += edge.size() % 2; });
  return count;
}

bool is_balanced(const Draft& draft) {
  bool balanced = true;
  for_each_edge(draft.edge_uses(),
                [&](std::span<const EdgeUse> edge) { balanced &= edge_balance(edge) == 0; });
  return balanced;
}

void weld_exactly(Draft& draft) {
  PointTable<double> table(draft.points.size());
  std::vector<std::uint32_t> first_of, becomes;
  for (std::uint32_t i = 0; i < draft.points.size(); ++i) {
    const Vec3 p = draft.points[i];
    const std::uint32_t number = table.number_of({p.x, p.y, p.z});
    if (number == first_of.size()) first_of.push_back(i);
    becomes.push_back(first_of[number]);
  }
  const std::size_t merged = renumber(draft, becomes);
  if (merged > 0) draft.steps.push_back({"weld", merged, "corners at exactly the same place"});
}

void drop_degenerate(Draft& draft) {
  const std::size_t gone =
      draft.keep_faces([&](std::size_t f) { return !is_degenerate(draft.triangles[f]); });
  if (gone > 0)
    draft.steps.push_back({"drop-degenerate", gone, "faces with two corners in one place"});
}

void drop_duplicates(Draft& draft) {
  std::vector<NamedFace> named;
  named.reserve(draft.triangles.size());
  for (std::uint32_t f = 0; f < draft.triangles.size(); ++f)
    named.push_back(name_face(draft.triangles[f], f));
  std::sort(named.begin(), named.end());
  std::vector<bool> is_dropped(draft.triangles.size(), false);
  for (std::size_t i = 0; i < named.size();) {
    std::size_t j = i + 1;
    while (j < named.size() && named[j].corners == named[i].corners) ++j;
    if (j > i + 1) mark_duplicates(std::span(named).subspan(i, j - i), is_dropped);
    i = j;
  }
  if (std::find(is_dropped.begin(), is_dropped.end(), true) == is_dropped.end()) return;
  Draft without = draft;
  const std::size_t gone = without.keep_faces([&](std::size_t f) { return !is_dropped[f]; });
  if (is_balanced(draft) && !is_balanced(without)) return;
  draft = std::move(without);
  draft.steps.push_back({"drop-duplicates", gone, "faces on the same three corners"});
}

void weld_open_edges(Draft& draft) {
  const std::vector<std::uint32_t> candidates = open_points(draft);
  std::size_t fewest = count_open_edges(draft);
  Draft best = draft;
  for (double tolerance : kTolerances) {
    Draft tried = draft;
    const double reach = tolerance * draft.size_mm;
    if (!(reach > 0)) break;
    const std::size_t merged = renumber(tried, clustered(draft, candidates, reach));
    if (merged == 0) continue;
    tried.weld_mm = reach;
    tried.steps.push_back(
        {"weld", merged, fmt::format("corners of open edges, at {:.3g} mm", reach)});
    drop_degenerate(tried);
    drop_duplicates(tried);
    const std::size_t open = count_open_edges(tried);
    if (open >= fewest) continue;
    fewest = open;
    best = std::move(tried);
    if (open == 0) break;
  }
  draft = std::move(best);
}

}  // namespace seamwright
