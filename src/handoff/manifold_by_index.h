#pragma once

#include "seamwright/mesh/solid.h"

namespace seamwright {

/// A mesh in which every edge, told by index, belongs to exactly two triangles in opposite order.
struct ManifoldMesh {
  std::vector<Vec3> points;
  std::vector<Triangle> triangles;
};

/// Splits the points where loops of a Solid touch (edges of four faces, fans that meet in a point),
/// so that every edge has exactly two triangles by index. Where the two sheets of such an edge hang
/// together at both of its ends, one sheet gets a point more in the middle of the edge. The surface
/// stays where it is. O(n log n). Source of the rule: 3MF core specification, meshes.
ManifoldMesh manifold_by_index(const Solid& solid);

}  // namespace seamwright
