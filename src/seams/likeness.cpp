#include "seams/likeness.h"

#include <algorithm>
#include <map>

namespace seamwright::search {
namespace {

using Leaf = const PlanNode*;

Leaf leaf_at(const PlanNode& root, Vec3 p) {
  Leaf node = &root;
  while (!node->is_leaf()) node = (node->plane.distance(p) >= 0 ? node->above : node->below).get();
  return node;
}

/// The points that stay together when each group of one side goes with its largest share.
std::size_t kept_together(const std::map<Leaf, std::map<Leaf, std::size_t>>& groups) {
  std::size_t kept = 0;
  for (const auto& [leaf, shares] : groups) {
    std::size_t most = 0;
    for (const auto& [other, count] : shares) most = std::max(most, count);
    kept += most;
  }
  return kept;
}

}  // namespace

double likeness(const PlanNode& a, const PlanNode& b) {
  constexpr std::size_t kLooks = 400;
  const std::vector<Vec3>& points = a.body->points;
  const std::size_t step = std::max<std::size_t>(1, points.size() / kLooks);
  std::map<Leaf, std::map<Leaf, std::size_t>> by_a, by_b;
  std::size_t looks = 0;
  for (std::size_t i = 0; i < points.size(); i += step) {
    const Leaf in_a = leaf_at(a, points[i]), in_b = leaf_at(b, points[i]);
    by_a[in_a][in_b] += 1;
    by_b[in_b][in_a] += 1;
    looks += 1;
  }
  if (looks == 0) return 1;
  return static_cast<double>(kept_together(by_a) + kept_together(by_b)) /
         (2 * static_cast<double>(looks));
}

}  // namespace seamwright::search
