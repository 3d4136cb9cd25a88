#pragma once

#include <array>
#include <span>
#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright::wiring_detail {

/// A grid of depths below the skin, as ways are sought on it.
struct DepthGrid {
  std::span<const float> depth_mm;  ///< 0 outside; a rim of nodes outside goes all round
  std::array<std::size_t, 3> count{};
  Vec3 low;
  double step_mm = 2;

  std::size_t index(std::size_t x, std::size_t y, std::size_t z) const {
    return (z * count[1] + y) * count[0] + x;
  }
  std::array<std::size_t, 3> coordinates(std::size_t node) const {
    return {node % count[0], node / count[0] % count[1], node / count[0] / count[1]};
  }
  Vec3 place(std::size_t node) const {
    const auto [x, y, z] = coordinates(node);
    return low +
           Vec3{static_cast<double>(x), static_cast<double>(y), static_cast<double>(z)} * step_mm;
  }
};

struct FieldQuestion {
  Vec3 from, to;
  std::span<const std::size_t> starts, goals;  ///< nodes where the way may begin and end
  double clear_mm = 0;
  const std::vector<bool>& is_blocked;
};

/// The cheapest way from a start to a goal over 26 neighbours, its nodes in order; places near the
/// skin cost more. Found on every second node first, then on all nodes within 8 mm or more of that
/// way; where the coarse grid shows none, on all nodes. Empty when there is none. Ties by node.
/// Source: Hart, Nilsson and Raphael, IEEE Trans. SSC 4 (1968) (memory). O(nodes log nodes).
std::vector<std::size_t> cheapest_way(const DepthGrid& grid, const FieldQuestion& question);

}  // namespace seamwright::wiring_detail
