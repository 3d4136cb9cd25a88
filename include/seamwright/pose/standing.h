#pragma once

#include <span>
#include <vector>

#include "seamwright/mesh/solid.h"
#include "seamwright/pose/pose.h"

namespace seamwright {

/// The rules of a standing pose; a thin sheet (least thickness under 8 mm) may relax to the second
/// set.
struct StandingRules {
  Angle least_tip = Angle::degrees(8), sheet_tip = Angle::degrees(3);
  double least_contact_mm2 = 400;
  double most_slender_ratio = 8, sheet_slender_ratio = 14;
  double least_flat_side_mm2 = 1000;
  Angle support_from = Angle::degrees(45);  ///< faces flatter than this, facing down, need support
};

/// All standing poses of a solid that fit `usable_mm`, best first: by foot (joint face, flat side,
/// supports), then support, then height. Turned about the vertical by rotating calipers. Judged on
/// every vertex of the solid, tolerance 2e-6 mm: no false accept. `allow_supports`: also hull
/// facets with the rest on supports, whose columns widen the footprint where they hold 1 mm² and
/// more (dear, so looked at only when nothing else fits: the 32 largest that fit, and more until
/// one holds; of facets within 2° of each other the largest, up to 64 of the others where none of
/// those holds). Only poses that hold all the rules are given. A thin sheet is one whose median
/// thickness, by rays, is under 8 mm. O(n) a foot.
std::vector<Pose> standing_poses(const Solid& solid, Vec3 usable_mm, bool allow_supports = true,
                                 const StandingRules& rules = {});

/// Whether a convex outline, turned freely, fits a rectangle: the turn (of the outline) that does
/// it with most room to spare, or nothing. Exact up to 2e-6 mm. O(n) rotating calipers.
std::optional<Angle> turn_to_fit(std::span<const Vec2> convex_outline, double width_mm,
                                 double depth_mm);

}  // namespace seamwright
