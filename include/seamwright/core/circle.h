#pragma once

#include "seamwright/core/region.h"

namespace seamwright {

/// The greatest distance between a circle and the polygon that stands for it (design, 8).
inline constexpr double kSagitta_mm = 0.005;

/// Corners that keep a polygon, inside or round the circle, within kSagitta_mm of it: a multiple
/// of 8. O(corners).
int corner_count(double radius_mm);

/// A counter-clockwise polygon inside the circle, its corners on it, so many that it stays within
/// kSagitta_mm of it. O(corners).
Loop2 inscribed_circle(Vec2 center, double radius_mm);

}  // namespace seamwright
