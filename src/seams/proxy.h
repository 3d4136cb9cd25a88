#pragma once

#include <span>
#include <vector>

#include "seamwright/mesh/solid.h"
#include "seamwright/query/ray_tree.h"

namespace seamwright::search {

/// What is known of each face of the part (its sight, its weight), for each face of a coarse
/// stand-in: the mean over the nearest faces of the part that look the same way (the stand-in's own
/// rays against the part would start inside it). A face without any takes 1. O(coarse faces · log
/// n).
std::vector<double> carry_values(const Solid& part, const RayTree& part_tree,
                                 std::span<const double> face_values, const Solid& coarse);

}  // namespace seamwright::search
