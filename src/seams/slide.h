#pragma once

#include "seams/plan_tree.h"
#include "seamwright/core/random.h"

namespace seamwright::search {

/// A turn about an axis through `pivot`, which stays. `axis` of unit length.
Transform turn_about(Vec3 pivot, Vec3 axis, Angle by);

/// The plane of the moved points.
Plane moved(const Plane& plane, const Transform& motion);

/// The seam moved, and seams under it moved along: of those right under a moved one each by chance,
/// all when `share` is 1; locked ones stay, with what is under them. In a row of pieces that all
/// but fill their rooms no seam can move alone. A shape for PlanPricer::replay_moved, which prices
/// what has moved anew.
PlanPtr slid(const PlanNode& seam, const Transform& motion, double share, Random& random);

}  // namespace seamwright::search
