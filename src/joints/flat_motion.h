#pragma once

#include <cmath>
#include <numbers>
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

/// What a motion moves: points about their middle, none farther from it than this.
struct Moved {
  Vec2 middle;
  double reach_mm = 1;
  bool may_turn = true;  ///< else only shifts are tried
};

/// Lets an error sink by small shifts and turns until none of 0.02 mm helps. `error_of(motion,
/// enough_mm)` gives a motion's error, or `enough_mm` as soon as it reaches that.
template <class Error>
double sunk_error_mm(Motion motion, double error_mm, const Moved& moved, const Error& error_of) {
  constexpr double kFinest_mm = 0.02;
  for (double step = error_mm / 2; step > kFinest_mm;) {
    bool is_better = false;
    for (int k = 0; k < (moved.may_turn ? 10 : 8); ++k) {
      const double angle = k * std::numbers::pi / 4,
                   turn = (k == 8 ? step : -step) / moved.reach_mm;
      const Motion next =
          k < 8 ? motion.turned(moved.middle, 0, Vec2{std::cos(angle), std::sin(angle)} * step)
                : motion.turned(moved.middle, turn, {});
      const double error = error_of(next, error_mm);
      if (error >= error_mm) continue;
      error_mm = error;
      motion = next;
      is_better = true;
    }
    if (!is_better) step /= 2;
  }
  return error_mm;
}

/// The worst rod's error, or `enough_mm` as soon as one reaches it.
double worst_error(std::span<const FlatKey> rods, std::span<const FlatKey> holes,
                   const Motion& motion, double extra_mm, double enough_mm);

}  // namespace seamwright::joints
