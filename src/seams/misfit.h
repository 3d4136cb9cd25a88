#pragma once

#include <span>

#include "seamwright/core/vec.h"

namespace seamwright::search {

/// How far a pose is from fitting, in hours: an hour for the fact, more for each thing that is
/// amiss. The slopes were chosen so that sticking out by half a room weighs about one more piece.
struct Misfit {
  double excess_ratio = 0;  ///< sum over the axes of what sticks out, in rooms
  double pieces = 1;        ///< product over the axes of extent over room, where larger
  double rules = 0;  ///< sum of relative shortfalls of tip, contact and slenderness, each at most 1
  Vec2 along{1, 0};  ///< of the shadow, laid along the room's x axis
  double hours() const {
    if (excess_ratio <= 0 && rules <= 0) return 0;
    return 1 + 1.2 * excess_ratio + 0.9 * (pieces - 1) + 0.6 * rules;
  }
};

/// One axis more: what it sticks out by, if it does.
void add_axis(Misfit& misfit, double extent_mm, double room_mm);

/// Of a pose's shadow, convex and counter-clockwise, and its height, at the best turn about the
/// vertical. O(n).
Misfit size_misfit(std::span<const Vec2> outline, double height_mm, Vec3 room);

/// Whether the points' shadow seen along `down` lies in the room's floor with `along`, made square
/// to `down`, laid along its x axis. O(n), and far cheaper than an outline.
bool fits_turned(std::span<const Vec3> points, Vec3 down, Vec3 along, Vec3 room);

}  // namespace seamwright::search
