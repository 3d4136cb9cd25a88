#pragma once

#include <optional>

#include "seamwright/core/circle.h"

namespace seamwright::joints {

/// A counter-clockwise polygon round the circle, its edges touching it: for holes, so that the
/// rod's way is never narrower than asked. With `up` (unit), a teardrop: two edges touching at 45°
/// from `up` meet over the circle at radius · √2, so that a lying hole prints without support.
Loop2 circumscribed_hole(Vec2 center, double radius_mm, std::optional<Vec2> up = {});

/// The loop with points on its edges, none longer than this; its own corners stay.
Loop2 divided(const Loop2& loop, double longest_mm);

}  // namespace seamwright::joints
