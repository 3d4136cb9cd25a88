#pragma once

#include <span>

#include "seamwright/handoff/picture.h"

namespace seamwright {

/// For each solid the pixel farthest from the border of where it is seen, by chamfer distance (3,
/// 4). `things` has one entry a pixel: the solid's position, or anything else. O(pixels). Source:
/// Borgefors, Comput. Vision Graph. 34 (1986) (memory).
std::vector<PictureLabel> place_labels(std::span<const int> things, PictureSize size,
                                       std::size_t solid_count);

}  // namespace seamwright
