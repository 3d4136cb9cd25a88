#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include "seamwright/mesh/solid.h"

namespace seamwright {

/// The faces across the three sides of each face; a side of more than two faces has no neighbour
/// (~0).
inline std::vector<std::array<std::uint32_t, 3>> face_neighbours(const Solid& solid) {
  struct Side {
    std::uint64_t edge;
    std::uint32_t side;  // 3 · face + k
  };
  std::vector<Side> sides;
  sides.reserve(3 * solid.face_count());
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const Triangle& t = solid.triangles()[f];
    for (std::size_t k = 0; k < 3; ++k) {
      const std::uint64_t low = to_index(std::min(t[k], t[(k + 1) % 3])),
                          high = to_index(std::max(t[k], t[(k + 1) % 3]));
      sides.push_back({(low << 32) | high, static_cast<std::uint32_t>(3 * f + k)});
    }
  }
  std::sort(sides.begin(), sides.end(),
            [](Side a, Side b) { return a.edge != b.edge ? a.edge < b.edge : a.side < b.side; });
  std::vector<std::array<std::uint32_t, 3>> neighbours(solid.face_count(), {~0U, ~0U, ~0U});
  for (std::size_t i = 0; i < sides.size();) {
    std::size_t end = i + 1;
    while (end < sides.size() && sides[end].edge == sides[i].edge) ++end;
    if (end - i == 2) {
      neighbours[sides[i].side / 3][sides[i].side % 3] = sides[i + 1].side / 3;
      neighbours[sides[i + 1].side / 3][sides[i + 1].side % 3] = sides[i].side / 3;
    }
    i = end;
  }
  return neighbours;
}

}  // namespace seamwright
