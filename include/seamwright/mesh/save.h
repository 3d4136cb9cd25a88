#pragma once

#include <ostream>
#include <string>

#include "seamwright/mesh/solid.h"

namespace seamwright {

/// Binary STL: 84 + 50 n bytes, header free of "solid", facet normals from the rounded corners,
/// corners rounded to float; faces that rounding collapses are left out so that every directed edge
/// of the exactly re-welded file keeps its opposite. O(n).
void write_stl(std::ostream& out, const Solid& solid);
/// The same bytes as a string.
std::string stl_bytes(const Solid& solid);

}  // namespace seamwright
