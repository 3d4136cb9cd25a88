#pragma once

#include <cstddef>

#include "seamwright/mesh/solid.h"

namespace seamwright::testing {

/// How many pairs of faces cross once the points are rounded to float and equal points are welded,
/// as in a written STL. Judge: CGAL's self_intersections.
std::size_t float_crossings(const Solid& solid);

}  // namespace seamwright::testing
