#pragma once

#include <optional>

#include "seamwright/core/region.h"

namespace seamwright::joints {

/// The greatest distance between a circle and the polygon that stands for it.
inline constexpr double kSagitta_mm = 0.005;

/// Corners that keep a polygon within kSagitta_mm of its circle, a multiple of 8.
int corner_count(double radius_mm);

/// A counter-clockwise polygon inside the circle, its corners on it: for pins.
Loop2 inscribed_circle(Vec2 center, double radius_mm);

/// A counter-clockwise polygon round the circle, its edges touching it: for holes, so that the
/// rod's way is never narrower than asked. With `up` (unit), a teardrop: two edges touching at 45°
/// from `up` meet over the circle at radius · √2, so that a lying hole prints without support.
Loop2 circumscribed_hole(Vec2 center, double radius_mm, std::optional<Vec2> up = {});

}  // namespace seamwright::joints
