#include "handoff/manifold_by_index.h"

#include <algorithm>
#include <numeric>
#include <tuple>

namespace seamwright {
namespace {

/// A directed edge is named by its triangle and first corner: 3 · triangle + corner.
using EdgeIndex = std::uint32_t;
struct EdgePair {
  EdgeIndex forth = 0, back = 0;
};

EdgeIndex next_corner(EdgeIndex corner) {
  return corner % 3 == 2 ? corner - 2 : corner + 1;
}
EdgeIndex last_corner(EdgeIndex corner) {
  return next_corner(next_corner(corner));
}

class CornerSets {
 public:
  explicit CornerSets(std::size_t n) : parent_(n) { std::iota(parent_.begin(), parent_.end(), 0u); }
  EdgeIndex find(EdgeIndex i) {
    while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
    return i;
  }
  void unite(EdgeIndex a, EdgeIndex b) {
    a = find(a), b = find(b);
    parent_[std::max(a, b)] = std::min(a, b);
  }

 private:
  std::vector<EdgeIndex> parent_;
};

VertexId vertex_at(const ManifoldMesh& mesh, EdgeIndex corner) {
  return mesh.triangles[corner / 3][corner % 3];
}

std::pair<VertexId, VertexId> ends(const ManifoldMesh& mesh, EdgeIndex edge) {
  return std::minmax(vertex_at(mesh, edge), vertex_at(mesh, next_corner(edge)));
}

/// Edges of four and more faces: each face goes with the one that the material between them reaches
/// first, so that sheets which touch stay apart and do not cross.
void pair_around(const ManifoldMesh& mesh, std::span<const EdgeIndex> edges,
                 std::vector<EdgePair>& pairs) {
  const Vec3 from = mesh.points[to_index(ends(mesh, edges[0]).first)];
  const Vec3 to = mesh.points[to_index(ends(mesh, edges[0]).second)];
  const PlaneFrame frame(Plane{normalized(to - from), 0});
  struct Sheet {
    double angle = 0;
    EdgeIndex edge = 0;
    bool is_forth = false;
  };
  std::vector<Sheet> sheets;
  for (const EdgeIndex edge : edges) {
    const Vec2 arm =
        frame.flatten(mesh.points[to_index(vertex_at(mesh, last_corner(edge)))] - from);
    sheets.push_back(
        {std::atan2(arm.y, arm.x), edge, vertex_at(mesh, edge) == ends(mesh, edge).first});
  }
  // Material lies on the left of a forth face's normal turned back: from it, going clockwise about
  // the edge, the next back face closes the wedge. Ties: back faces first, then by index.
  std::sort(sheets.begin(), sheets.end(), [](const Sheet& a, const Sheet& b) {
    return std::tuple(-a.angle, a.is_forth, a.edge) < std::tuple(-b.angle, b.is_forth, b.edge);
  });
  std::vector<EdgeIndex> open;
  for (std::size_t round = 0; round < 2 * sheets.size(); ++round) {
    const Sheet& sheet = sheets[round % sheets.size()];
    const bool is_first_round = round < sheets.size();
    if (sheet.is_forth && is_first_round) open.push_back(sheet.edge);
    if (sheet.is_forth || open.empty()) continue;
    const bool is_taken = std::any_of(pairs.begin(), pairs.end(),
                                      [&](const EdgePair& p) { return p.back == sheet.edge; });
    if (is_taken) continue;
    pairs.push_back({open.back(), sheet.edge});
    open.pop_back();
  }
}

std::vector<EdgePair> pair_edges(const ManifoldMesh& mesh) {
  std::vector<EdgeIndex> edges(3 * mesh.triangles.size());
  std::iota(edges.begin(), edges.end(), 0u);
  std::sort(edges.begin(), edges.end(), [&](EdgeIndex a, EdgeIndex b) {
    return std::pair(ends(mesh, a), a) < std::pair(ends(mesh, b), b);
  });
  std::vector<EdgePair> pairs, group_pairs;
  for (std::size_t begin = 0; begin < edges.size();) {
    std::size_t end = begin;
    while (end < edges.size() && ends(mesh, edges[end]) == ends(mesh, edges[begin])) ++end;
    require((end - begin) % 2 == 0, "every directed edge of a Solid has its opposite");
    if (end - begin == 2) {
      pairs.push_back({edges[begin], edges[begin + 1]});
    } else {
      group_pairs.clear();
      pair_around(mesh, std::span(edges).subspan(begin, end - begin), group_pairs);
      require(2 * group_pairs.size() == end - begin, "an edge's faces pair up");
      pairs.insert(pairs.end(), group_pairs.begin(), group_pairs.end());
    }
    begin = end;
  }
  return pairs;
}

/// One new point for each set of corners that hang together.
ManifoldMesh split_points(const ManifoldMesh& mesh, CornerSets& sets) {
  ManifoldMesh split;
  split.triangles.resize(mesh.triangles.size());
  constexpr std::uint32_t kNone = ~0u;
  std::vector<std::uint32_t> point_of(3 * mesh.triangles.size(), kNone);
  for (EdgeIndex corner = 0; corner < point_of.size(); ++corner) {
    std::uint32_t& point = point_of[sets.find(corner)];
    if (point == kNone) {
      point = static_cast<std::uint32_t>(split.points.size());
      split.points.push_back(mesh.points[to_index(vertex_at(mesh, corner))]);
    }
    split.triangles[corner / 3][corner % 3] = VertexId{point};
  }
  return split;
}

/// Puts a point into the middle of one edge, on both of its triangles.
void halve_edge(ManifoldMesh& mesh, const EdgePair& pair) {
  const VertexId from = vertex_at(mesh, pair.forth), to = vertex_at(mesh, next_corner(pair.forth));
  const VertexId middle = to_id<VertexId>(mesh.points.size());
  mesh.points.push_back((mesh.points[to_index(from)] + mesh.points[to_index(to)]) / 2);
  for (const EdgeIndex edge : {pair.forth, pair.back}) {
    const VertexId end = vertex_at(mesh, next_corner(edge)),
                   apex = vertex_at(mesh, last_corner(edge));
    mesh.triangles[edge / 3][next_corner(edge) % 3] = middle;
    mesh.triangles.push_back({middle, end, apex});
  }
}

/// Pairs that name the same two points as an earlier pair, at most one a triangle.
std::vector<EdgePair> doubled_pairs(const ManifoldMesh& mesh, std::vector<EdgePair> pairs) {
  std::sort(pairs.begin(), pairs.end(), [&](const EdgePair& a, const EdgePair& b) {
    return std::pair(ends(mesh, a.forth), a.forth) < std::pair(ends(mesh, b.forth), b.forth);
  });
  std::vector<EdgePair> doubled;
  std::vector<bool> is_used(mesh.triangles.size(), false);
  for (std::size_t i = 1; i < pairs.size(); ++i) {
    if (ends(mesh, pairs[i].forth) != ends(mesh, pairs[i - 1].forth)) continue;
    if (is_used[pairs[i].forth / 3] || is_used[pairs[i].back / 3]) continue;
    is_used[pairs[i].forth / 3] = is_used[pairs[i].back / 3] = true;
    doubled.push_back(pairs[i]);
  }
  return doubled;
}

}  // namespace

ManifoldMesh manifold_by_index(const Solid& solid) {
  ManifoldMesh mesh{{solid.points().begin(), solid.points().end()},
                    {solid.triangles().begin(), solid.triangles().end()}};
  for (;;) {
    const std::vector<EdgePair> pairs = pair_edges(mesh);
    CornerSets sets(3 * mesh.triangles.size());
    for (const EdgePair& pair : pairs) {
      sets.unite(pair.forth, next_corner(pair.back));
      sets.unite(next_corner(pair.forth), pair.back);
    }
    ManifoldMesh split = split_points(mesh, sets);
    const std::vector<EdgePair> doubled = doubled_pairs(split, pairs);
    if (doubled.empty()) return split;
    mesh = std::move(split);
    for (const EdgePair& pair : doubled) halve_edge(mesh, pair);
  }
}

}  // namespace seamwright
