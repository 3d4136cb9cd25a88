#pragma once

#include <span>
#include <utility>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// Pairs of faces (lower first, in order) that meet elsewhere than in the corners they share,
/// judged by exact predicates (CGAL). Faces without area and faces on the same three corners are
/// left out. O(n log n + candidates).
std::vector<std::pair<std::uint32_t, std::uint32_t>> find_crossings(
    std::span<const Vec3> points, std::span<const Triangle> triangles, const Run& run);

}  // namespace seamwright
