#pragma once

#include "printing/flat.h"
#include "seamwright/core/vec.h"

namespace seamwright {

struct HatchPlan {
  Angle direction;
  double spacing_mm = 0.4;
  double shortest_mm = 0.1;  ///< shorter lines are not laid
};

/// Parallel lines over the region, at offsets (j + ½) × spacing from the bed's origin, so that
/// layers of one direction lie over each other. A line goes on along the region's edge to the next
/// one where that way is short (up to 3 spacings); each result is one unbroken path. O(n log n).
std::vector<std::vector<Vec2>> hatch(const flat::Paths& region, const HatchPlan& plan);

}  // namespace seamwright
