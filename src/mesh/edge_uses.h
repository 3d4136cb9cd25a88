#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <vector>

#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// One face's use of an undirected edge, low → high when forward.
struct EdgeUse {
  std::uint32_t low = 0, high = 0;
  std::uint32_t face = 0;
  std::uint8_t side = 0;  ///< the edge runs from the face's corner `side` to the next
  bool is_forward = true;
};

/// All uses, those of one edge together, edges by (low, high), uses by face. Edges between equal
/// corners are left out. O(n): counted by the low vertex first, so that only short runs are sorted.
inline std::vector<EdgeUse> sorted_edge_uses(std::span<const Triangle> triangles,
                                             std::size_t point_count) {
  std::vector<std::uint32_t> start(point_count + 1, 0);
  const auto each = [&](const auto& visit) {
    for (std::uint32_t f = 0; f < triangles.size(); ++f) {
      for (std::uint8_t k = 0; k < 3; ++k) {
        const auto a = static_cast<std::uint32_t>(triangles[f][k]);
        const auto b = static_cast<std::uint32_t>(triangles[f][(k + 1) % 3]);
        if (a != b) visit(EdgeUse{std::min(a, b), std::max(a, b), f, k, a < b});
      }
    }
  };
  each([&](const EdgeUse& use) { ++start[use.low + 1]; });
  for (std::size_t i = 0; i < point_count; ++i) start[i + 1] += start[i];
  std::vector<EdgeUse> uses(start.back());
  std::vector<std::uint32_t> next(start.begin(), start.end() - 1);
  each([&](const EdgeUse& use) { uses[next[use.low]++] = use; });
  for (std::size_t i = 0; i < point_count; ++i) {
    std::sort(uses.begin() + start[i], uses.begin() + start[i + 1],
              [](const EdgeUse& a, const EdgeUse& b) {
                return a.high != b.high   ? a.high < b.high
                       : a.face != b.face ? a.face < b.face
                                          : a.side < b.side;
              });
  }
  return uses;
}

/// Calls visit(uses of one edge) for each edge in order.
template <class Visit>
void for_each_edge(std::span<const EdgeUse> uses, const Visit& visit) {
  for (std::size_t i = 0; i < uses.size();) {
    std::size_t j = i + 1;
    while (j < uses.size() && uses[j].low == uses[i].low && uses[j].high == uses[i].high) ++j;
    visit(uses.subspan(i, j - i));
    i = j;
  }
}

/// Uses low → high less uses high → low.
inline long long edge_balance(std::span<const EdgeUse> edge) {
  long long balance = 0;
  for (const EdgeUse& use : edge) balance += use.is_forward ? 1 : -1;
  return balance;
}

/// Union-find over numbers 0 … n − 1; the root of a set is its least member.
class Sets {
 public:
  explicit Sets(std::size_t n) : parent_(n) {
    for (std::size_t i = 0; i < n; ++i) parent_[i] = static_cast<std::uint32_t>(i);
  }
  std::uint32_t root(std::uint32_t i) {
    while (parent_[i] != i) i = parent_[i] = parent_[parent_[i]];
    return i;
  }
  void join(std::uint32_t a, std::uint32_t b) {
    a = root(a);
    b = root(b);
    if (a < b)
      parent_[b] = a;
    else
      parent_[a] = b;
  }
  /// The number of each member's set, sets numbered by their least members.
  std::vector<std::uint32_t> labels(std::size_t& count) {
    std::vector<std::uint32_t> label(parent_.size());
    count = 0;
    for (std::uint32_t i = 0; i < parent_.size(); ++i) {
      const std::uint32_t r = root(i);
      label[i] = r == i ? static_cast<std::uint32_t>(count++) : label[r];
    }
    return label;
  }

 private:
  std::vector<std::uint32_t> parent_;
};

}  // namespace seamwright
