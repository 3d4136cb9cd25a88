#pragma once

#include "seams/plan_tree.h"
#include "seamwright/core/random.h"

namespace seamwright::search {

/// Three perpendicular directions, and how thick slabs along them may be as a share of the room.
struct StartFrame {
  std::array<Vec3, 3> axes;
  double fill_ratio = 1;
};

/// Principal axes of a body's points.
std::array<Vec3, 3> principal_axes(const ClipBody& body);

/// A plan by slabs: along the axis on which the body is longest for its room, the set of parallel
/// cuts with the least hours (exact, by dynamic programming over a grid of offsets), then each slab
/// again along the other axes. Pieces may misfit; `random` shakes the prices a little so that
/// starts differ.
PlanPtr slab_start(std::shared_ptr<const ClipBody> body, const StartFrame& frame,
                   PlanPricer& pricer, Random& random);

/// A plan cut by cut: from spread normals the cut whose hours and whose halves' outlook are least,
/// two levels deep in the outlook, until every piece fits or a cut makes no progress.
PlanPtr rollout(std::shared_ptr<const ClipBody> body, PlanPricer& pricer, Random& random,
                int depth = 12);

/// The plan with every half that misfits cut by the best of a few rollouts.
PlanPtr fill_misfits(const PlanPtr& node, PlanPricer& pricer, Random& random, int tries);

}  // namespace seamwright::search
