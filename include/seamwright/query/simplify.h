#pragma once

#include "seamwright/mesh/solid.h"

namespace seamwright {

/// A coarse stand-in of a solid for the search: edge collapses by quadric error down to about
/// `face_count` faces, closed, origins kept from the surviving faces (skin ids stay those of the
/// file as loaded). A solid at or under the count comes back as it is. O(n log n). Source: Garland
/// and Heckbert, SIGGRAPH 1997 (memory), by meshoptimizer.
Solid simplify(const Solid& solid, std::size_t face_count);

}  // namespace seamwright
