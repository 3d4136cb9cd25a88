#include "wiring/triangle_tree.h"

#include <algorithm>

namespace seamwright::wiring_detail {
namespace {

constexpr std::uint32_t kLeafSize = 6;

double box_distance_mm2(const Box3& box, Vec3 p) {
  double sum = 0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const double out = std::max({box.low[axis] - p[axis], p[axis] - box.high[axis], 0.0});
    sum += out * out;
  }
  return sum;
}

}  // namespace

Vec3 nearest_on_triangle(const Corners& triangle, Vec3 from) {
  const auto [a, b, c] = triangle;
  const Vec3 ab = b - a, ac = c - a, ap = from - a;
  const double d1 = dot(ab, ap), d2 = dot(ac, ap);
  if (d1 <= 0 && d2 <= 0) return a;
  const Vec3 bp = from - b;
  const double d3 = dot(ab, bp), d4 = dot(ac, bp);
  if (d3 >= 0 && d4 <= d3) return b;
  const double vc = d1 * d4 - d3 * d2;
  if (vc <= 0 && d1 >= 0 && d3 <= 0) return a + ab * (d1 / (d1 - d3));
  const Vec3 cp = from - c;
  const double d5 = dot(ab, cp), d6 = dot(ac, cp);
  if (d6 >= 0 && d5 <= d6) return c;
  const double vb = d5 * d2 - d1 * d6;
  if (vb <= 0 && d2 >= 0 && d6 <= 0) return a + ac * (d2 / (d2 - d6));
  const double va = d3 * d6 - d5 * d4;
  if (va <= 0 && d4 - d3 >= 0 && d5 - d6 >= 0)
    return b + (c - b) * ((d4 - d3) / ((d4 - d3) + (d5 - d6)));
  const double sum = va + vb + vc;
  return sum > 0 ? a + ab * (vb / sum) + ac * (vc / sum) : a;
}

TriangleTree::TriangleTree(std::vector<Corners> triangles) {
  if (triangles.empty()) return;
  std::vector<Placed> placed(triangles.size());
  for (std::uint32_t i = 0; i < placed.size(); ++i)
    placed[i] = {triangles[i][0] + triangles[i][1] + triangles[i][2], i};
  nodes_.reserve(2 * placed.size() / kLeafSize + 2);
  build(triangles, placed, 0);
  order_.reserve(placed.size()), triangles_.reserve(placed.size());
  for (const Placed& one : placed) {
    order_.push_back(one.triangle);
    triangles_.push_back(triangles[one.triangle]);
  }
}

std::uint32_t TriangleTree::build(std::span<const Corners> triangles, std::span<Placed> placed,
                                  std::uint32_t first) {
  const auto at = static_cast<std::uint32_t>(nodes_.size());
  Box3 box;
  for (const Placed& one : placed) {
    for (const Vec3& p : triangles[one.triangle]) box.extend(p);
  }
  nodes_.push_back({box, first, static_cast<std::uint32_t>(placed.size()), 0});
  if (placed.size() <= kLeafSize) return at;
  const Vec3 size = box.size();
  const std::size_t axis = size.x >= size.y && size.x >= size.z ? 0 : size.y >= size.z ? 1 : 2;
  const std::size_t half = placed.size() / 2;
  std::nth_element(placed.begin(), placed.begin() + static_cast<std::ptrdiff_t>(half), placed.end(),
                   [axis](const Placed& a, const Placed& b) {
                     return a.middle[axis] != b.middle[axis] ? a.middle[axis] < b.middle[axis]
                                                             : a.triangle < b.triangle;
                   });
  nodes_[at].count = 0;
  build(triangles, placed.first(half), first);
  nodes_[at].right =
      build(triangles, placed.subspan(half), first + static_cast<std::uint32_t>(half));
  return at;
}

NearTriangle TriangleTree::nearest(Vec3 from, double reach_mm) const {
  NearTriangle best;
  if (nodes_.empty()) return best;
  double best_mm2 = reach_mm * reach_mm;
  struct Open {
    std::uint32_t node;
    double mm2;
  };
  std::array<Open, 64> stack;  // a level halves its triangles: 33 at most
  stack[0] = {0, box_distance_mm2(nodes_[0].box, from)};
  for (std::size_t depth = 1; depth > 0;) {
    const auto [at, mm2_to_box] = stack[--depth];
    if (mm2_to_box > best_mm2) continue;
    const Node& node = nodes_[at];
    for (std::uint32_t i = node.first; i < node.first + node.count; ++i) {
      const Vec3 p = nearest_on_triangle(triangles_[i], from);
      const double mm2 = dot(p - from, p - from);
      if (mm2 > best_mm2) continue;
      best_mm2 = mm2;
      best = {std::sqrt(mm2), p, order_[i]};
    }
    if (node.count > 0) continue;
    const Open left{at + 1, box_distance_mm2(nodes_[at + 1].box, from)},
        right{node.right, box_distance_mm2(nodes_[node.right].box, from)};
    stack[depth++] = left.mm2 <= right.mm2 ? right : left;
    stack[depth++] = left.mm2 <= right.mm2 ? left : right;
  }
  return best;
}

}  // namespace seamwright::wiring_detail
