#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/core/vec.h"

namespace seamwright::joints {

/// An edge that a flat mesh must contain, by positions in its point list.
struct FlatEdge {
  std::uint32_t from = 0, to = 0;
  bool is_border =
      true;  ///< material on its left only; otherwise a crease with material on both sides
};
using FlatTriangle = std::array<std::uint32_t, 3>;

/// Fills what lies to the left of the border edges with counter-clockwise triangles (constrained
/// Delaunay, winding number 1). Guarantees: no new points; every edge given is an edge of the
/// triangles. Errors: "flat-mesh-failed" (edges cross, points coincide, a point lies on an edge, or
/// the winding number is neither 0 nor 1). O(n log n).
Result<std::vector<FlatTriangle>> mesh_flat(std::span<const Vec2> points,
                                            std::span<const FlatEdge> edges);

}  // namespace seamwright::joints
