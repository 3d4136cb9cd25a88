#pragma once

#include <span>
#include <utility>
#include <vector>

#include "joints/key_room.h"

namespace seamwright::joints {

/// Lines over a figure, `apart_mm` from each other and parallel to the first axis of its frame,
/// each from edge to edge; what is farther from all of them lies less than `apart_mm` from the
/// outline. O(lines × points).
std::vector<std::pair<Vec2, Vec2>> lines_over(const Loop2& outline, double apart_mm);

/// What holes of the same piece keep from in place of a groove: lines down its wall and over its
/// floor, half a millimetre apart, a quarter thick. `outline` in the plane's (u, v).
std::vector<TakenPlace> groove_places(const CapFrame& frame, const Loop2& outline, double depth_mm,
                                      std::size_t joint);

/// Whether `wall_mm` of plastic is left between all places of the one kind and all of the other.
bool keeps_between(std::span<const TakenPlace> groove, std::span<const TakenPlace> taken,
                   double wall_mm);

}  // namespace seamwright::joints
