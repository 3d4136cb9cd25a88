#pragma once

#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright {

/// A closed polyline without its first point repeated; mm in some plane's (u, v).
using Loop2 = std::vector<Vec2>;

/// One connected flat region: the outer loop counter-clockwise, holes clockwise, none crossing
/// (loops may touch in single points).
struct Region2 {
  Loop2 outer;
  std::vector<Loop2> holes;
};

/// Signed area of a loop, positive when counter-clockwise (the shoelace formula). O(n).
double loop_area_mm2(const Loop2& loop);
/// Area of a region, holes taken off. O(n).
double region_area_mm2(const Region2& region);
/// Whether `p` is inside the region (even-odd over all its loops, half-open edge rule). O(n).
bool region_contains(const Region2& region, Vec2 p);
/// Distance of `p` to the nearest edge of any of the region's loops. O(n).
double region_edge_distance_mm(const Region2& region, Vec2 p);

}  // namespace seamwright
