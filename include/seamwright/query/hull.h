#pragma once

#include <span>
#include <vector>

#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// A convex hull: its corner points, and its facets as triangles outward.
struct Hull {
  std::vector<Vec3> points;
  std::vector<Triangle> triangles;
};

/// Convex hull in space (Qhull). Flat or empty input gives an empty hull. O(n log n).
Hull convex_hull(std::span<const Vec3> points);

/// Convex hull in the plane, counter-clockwise, no collinear points; near-equal points are snapped
/// to 1e-7 mm first (unsnapped they made a non-convex outline and false fits). O(n log n). Source:
/// Andrew's monotone chain, Inf. Process. Lett. 9 (1979) (memory).
std::vector<Vec2> convex_hull(std::vector<Vec2> points);

}  // namespace seamwright
