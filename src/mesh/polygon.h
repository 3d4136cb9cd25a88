#pragma once

#include <span>
#include <vector>

#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// Divides a polygon of mesh corners into triangles by cutting ears, best-shaped first among the
/// valid ones. Corners that repeat their neighbour are skipped. Guarantees: n − 2 triangles whose
/// directed edges are the polygon's and pairs of opposite inner edges, whatever the shape (where no
/// ear is left, a twisted polygon, corners are cut in order), so that a closed mesh of polygons
/// becomes a closed mesh of triangles. O(n²).
std::vector<Triangle> triangulate_polygon(std::span<const VertexId> polygon,
                                          std::span<const Vec3> points);

}  // namespace seamwright
