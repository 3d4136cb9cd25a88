#pragma once

#include "seamwright/mesh/solid.h"

namespace seamwright::testing {

/// Whether the solid crosses itself once its points are rounded to float and equal points are
/// welded, as in a written STL. Judge: CGAL's does_self_intersect.
bool crosses_itself_as_float(const Solid& solid);

}  // namespace seamwright::testing
