#pragma once

#include <cstdint>
#include <vector>

#include "seamwright/mesh/solid.h"

namespace seamwright {

/// One face's side of an edge.
struct EdgeHalf {
  std::uint64_t ends;  ///< the lower vertex in the upper 32 bits, the higher in the lower
  std::uint32_t face;
};

/// Three a face, those of one edge side by side, by face. O(n log n).
std::vector<EdgeHalf> halves_of(const Solid& solid);

}  // namespace seamwright
