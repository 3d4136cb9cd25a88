#pragma once

#include <optional>
#include <span>
#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright::search {

/// The k-th of n directions spread evenly over the sphere (a golden spiral).
Vec3 spread_direction(int k, int n);

/// The farthest points in a spread of 48 directions: a stand-in for the hull that only ever looks
/// smaller. Requires a point. O(n).
std::vector<Vec3> farthest_points(std::span<const Vec3> points);

/// The facet of the hull that the direction rolls onto: the farthest point, then the edge and the
/// facet reached by the least turn. O(n).
std::optional<Vec3> hull_facet_near(std::span<const Vec3> points, Vec3 down);

/// Two directions square to each other and to the one that looks down.
struct ShadowFrame {
  Vec3 u, v;
};
/// The points' shadow without most of those plainly inside: all that its outline needs. O(n).
void cast_shadow(std::span<const Vec3> points, const ShadowFrame& frame, std::vector<Vec2>& shadow);

/// Convex hull for judging on the search's meshes, counter-clockwise: as pose's outline, but
/// snapped to a grid of 2⁻²⁰ mm in place of its dearer search for points that are all but equal.
/// `points` is spent. O(n + k log k), k the points near the border.
std::vector<Vec2> quick_outline(std::vector<Vec2>& points);

}  // namespace seamwright::search
