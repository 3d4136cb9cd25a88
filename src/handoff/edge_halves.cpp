#include "handoff/edge_halves.h"

#include <algorithm>

namespace seamwright {

std::vector<EdgeHalf> halves_of(const Solid& solid) {
  std::vector<EdgeHalf> halves;
  halves.reserve(3 * solid.face_count());
  for (std::uint32_t f = 0; f < solid.face_count(); ++f) {
    const Triangle& t = solid.triangles()[f];
    for (std::size_t k = 0; k < 3; ++k) {
      const std::uint64_t p = to_index(t[k]), q = to_index(t[(k + 1) % 3]);
      halves.push_back({std::min(p, q) << 32 | std::max(p, q), f});
    }
  }
  std::sort(halves.begin(), halves.end(), [](const EdgeHalf& a, const EdgeHalf& b) {
    return std::pair(a.ends, a.face) < std::pair(b.ends, b.face);
  });
  return halves;
}

}  // namespace seamwright
