#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "seamwright/core/region.h"
#include "seamwright/mesh/solid.h"

namespace seamwright::cut_detail {

/// The outlines of some of a solid's faces, all in one plane and turned one way: one region for
/// each set of faces that hangs together by edges, counter-clockwise seen against the plane's
/// normal. O(n log n).
std::vector<Region2> outline_faces(const Solid& solid, std::span<const std::uint32_t> faces,
                                   const PlaneFrame& frame);

}  // namespace seamwright::cut_detail
