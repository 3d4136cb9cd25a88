#pragma once

#include <span>

#include "seamwright/joints/wrong_pairing.h"

namespace seamwright::joints {

/// A rigid motion of the plane: turn (c, s), then shift.
struct Motion {
  double c = 1, s = 0;
  Vec2 shift;
  Vec2 operator()(Vec2 p) const { return Vec2{c * p.x - s * p.y, s * p.x + c * p.y} + shift; }
  Vec2 back(Vec2 p) const {
    const Vec2 q = p - shift;
    return {c * q.x + s * q.y, c * q.y - s * q.x};
  }
  /// This motion, then a turn about where it brings `middle`, then a shift.
  Motion turned(Vec2 middle, double turn_rad, Vec2 by) const;
};

/// Turns about a point.
Motion turn_about(Vec2 center, double turn_rad);

/// Lays the segment a→b on p→q, middle on middle.
Motion laying(Vec2 a, Vec2 b, Vec2 p, Vec2 q);

/// The worst rod's error, or `enough_mm` as soon as one reaches it.
double worst_error(std::span<const FlatKey> rods, std::span<const FlatKey> holes,
                   const Motion& motion, double extra_mm, double enough_mm);

}  // namespace seamwright::joints
