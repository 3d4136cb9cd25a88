#pragma once

#include "joints/cap_work.h"
#include "joints/key_room.h"

namespace seamwright::joints {

/// What a printed pin and its hole differ in length by, for glue and the hole's uneven floor.
/// Assumption.
inline constexpr double kTipRoom_mm = 0.5;

/// A disc magnet's seat: a tenth wider and two tenths deeper than the disc, and the dimple beside
/// it that says "north faces you". Common practice, no source.
inline constexpr double kMagnetClearance_mm = 0.075, kMagnetDeeper_mm = 0.2;
inline constexpr double kPoleDimple_mm = 0.75, kPoleDimpleDeep_mm = 0.4, kPoleDimpleWall_mm = 0.8;
inline constexpr double kPoleDimpleReach_mm = 2 * kPoleDimple_mm + kPoleDimpleWall_mm + 0.1;

/// The dimple beside a seat of this radius, away from a teardrop's tip.
CapFeature make_pole_dimple(const FaceSide& side, Vec2 seat, double radius_mm, Origin origin);

/// A hole for a rod or pin: walls and a flat floor. `bevel_mm` widens its mouth at 45°, against the
/// first layer's bulge.
CapFeature make_hole(const FaceSide& side, Vec2 center, double radius_mm, double depth_mm,
                     double bevel_mm, Origin origin);

/// A pin with a chamfered tip, growing out of the cap.
CapFeature make_pin(Vec2 center, double radius_mm, double length_mm, Origin origin);

}  // namespace seamwright::joints
