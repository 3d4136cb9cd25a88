#pragma once

#include "joints/cap_work.h"
#include "joints/key_room.h"

namespace seamwright::joints {

/// What a printed pin and its hole differ in length by, for glue and the hole's uneven floor.
/// Assumption.
inline constexpr double kTipRoom_mm = 0.5;

/// A hole for a rod or pin: walls and a flat floor. `bevel_mm` widens its mouth at 45°, against the
/// first layer's bulge.
CapFeature make_hole(const FaceSide& side, Vec2 center, double radius_mm, double depth_mm,
                     double bevel_mm, Origin origin);

/// A pin with a chamfered tip, growing out of the cap.
CapFeature make_pin(Vec2 center, double radius_mm, double length_mm, Origin origin);

}  // namespace seamwright::joints
