#pragma once

#include <array>
#include <span>
#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright {

/// Triangles over the corners of a closed loop, whose directed edges are the loop's and opposite
/// pairs, of small area (CGAL's triangulate_hole_polyline); empty when it finds none.
std::vector<std::array<std::size_t, 3>> patch_hole(std::span<const Vec3> loop);

}  // namespace seamwright
