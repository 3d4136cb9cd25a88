#pragma once

#include <span>
#include <vector>

#include "seamwright/mesh/solid.h"

namespace seamwright::search {

/// The sight of each face of a coarse stand-in, taken from the nearest faces of the part (the
/// stand-in's own rays against the part would start inside it). O(coarse faces · log n).
std::vector<double> carry_sight(const Solid& part, std::span<const double> face_sight,
                                const Solid& coarse);

}  // namespace seamwright::search
