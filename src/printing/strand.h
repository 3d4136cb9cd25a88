#pragma once

#include <vector>

#include "seamwright/core/vec.h"
#include "seamwright/printing/line_kind.h"

namespace seamwright {

/// A line before it has its place in the layer's order.
struct Strand {
  LineKind kind = LineKind::outer_wall;
  bool is_loop = false;
  double width_mm = 0;
  std::vector<Vec2> points;
  std::uint32_t island = 0;  ///< strands of one island are printed together
};

}  // namespace seamwright
