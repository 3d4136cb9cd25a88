#pragma once

#include <array>
#include <span>
#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright::pose_detail {

/// The corners of the octagon that the extremes along both axes and both diagonals span, in order
/// of direction. Requires a point. O(n).
std::array<Vec2, 8> extremes(std::span<const Vec2> points);

/// Convex hull of points in the plane, counter-clockwise: points that are plainly inside (within
/// the octagon of the extremes) are dropped before query's hull sorts the rest. `points` is spent.
/// O(n + k log k), k the points near the border.
std::vector<Vec2> outline_of(std::vector<Vec2>& points);

/// Least distance between two parallel lines that hold a convex outline between them; 0 for less
/// than an area. O(n).
double least_width(std::span<const Vec2> outline);

/// Distance from `p` to the nearest edge of a convex counter-clockwise outline, negative outside;
/// without an area it is never positive. O(n).
double depth_inside(std::span<const Vec2> outline, Vec2 p);

}  // namespace seamwright::pose_detail
