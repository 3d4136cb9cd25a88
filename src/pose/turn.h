#pragma once

#include <span>

#include "seamwright/core/vec.h"

namespace seamwright::pose_detail {

/// How much a fit may be over: rounding of a piece that fills the room exactly, not more.
inline constexpr double kFitTolerance_mm = 2e-6;

/// A turn of an outline in a rectangle: the outline's direction `along` is laid along the room's x
/// axis. `spare_mm` is the lesser of the room left in width and in depth; negative when it sticks
/// out.
struct Turn {
  Vec2 along{1, 0};
  double spare_mm = 0;
};

/// The turn with most spare. `outline` is convex and counter-clockwise. Exact: between two turns at
/// which an edge lies along the room, both extents are sinusoids, so the spare is best at an end of
/// such a stretch or where the two spares are equal. O(n).
/// Source: the calipers of Toussaint, MELECON (1983) (memory); the stretches are derived here.
Turn best_turn(std::span<const Vec2> outline, double width_mm, double depth_mm);

/// The spare of one turn, measured on all points. O(n).
double spare_of_turn(std::span<const Vec2> points, Vec2 along, double width_mm, double depth_mm);

}  // namespace seamwright::pose_detail
