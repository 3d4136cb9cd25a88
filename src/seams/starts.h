#pragma once

#include "seams/plan_tree.h"
#include "seamwright/core/random.h"

namespace seamwright::search {

/// Three perpendicular directions, how thick slabs along them may be as a share of the room, and
/// whether each cut is then turned square to the skin it meets, how much prices are shaken by
/// chance.
struct StartFrame {
  std::array<Vec3, 3> axes;
  bool is_shuffled = false;  ///< the axes are cut in any order and get any side of the room
  double fill_ratio = 1;
  bool is_square = false;
  double shake_ratio = 0.02;
};

/// A plan by slabs: along the axis on which the body is longest for its room, the set of parallel
/// cuts with the least hours (exact, by dynamic programming over a grid of offsets that has the
/// room's own size among its multiples; slabs alike rather than one thin rest), then each slab
/// again along the other axes. Pieces may misfit. Shuffled: a sheet is best cut in two lengthwise
/// first, when its strips want different lengths.
PlanPtr slab_start(std::shared_ptr<const ClipBody> body, const StartFrame& frame,
                   PlanPricer& pricer, Random& random);

/// A plan by planes through an axis of the body's middle, as a cake or a ring is cut: the fewest
/// equal sectors of which all fit, at most 12. Null when none do.
PlanPtr fan_start(std::shared_ptr<const ClipBody> body, PlanPricer& pricer, Random& random);

/// A plan cut by cut: from spread normals the cut whose hours and whose halves' outlook are least,
/// two levels deep in the outlook, until every piece fits, a cut makes no progress, or the pricer's
/// run should finish.
PlanPtr rollout(std::shared_ptr<const ClipBody> body, PlanPricer& pricer, Random& random,
                int depth = 12);

/// The plan with every half that misfits cut by the best of a few rollouts, unless the pricer's run
/// should finish.
PlanPtr fill_misfits(const PlanPtr& node, PlanPricer& pricer, Random& random, int tries);

}  // namespace seamwright::search
