#pragma once

#include "seams/plan_tree.h"
#include "seamwright/core/random.h"
#include "seamwright/core/run.h"

namespace seamwright::search {

/// A plan that came from a coarser mesh may graze a bump that was not there, and a crumb of next to
/// no volume falls off. Seams above slivers are nudged by up to 3 mm or 1°, from the last to the
/// first, each to where the plan is cheapest, until there are no more slivers than `allowed` or no
/// nudge saves the better part of an hour. Locked seams stay.
PlanPtr nudge_off_crumbs(PlanPtr plan, std::uint32_t allowed, PlanPricer& pricer, Random& random);

/// Pieces that came out too large, on a finer mesh or because a seam was dropped, are made to fit
/// by small steps of the seams about them, dearer or not: to cut them once more would be the quick
/// way, and a piece more. What sticks out is passed on from piece to piece. Gives up after
/// `patience` of work without a gain; some may misfit still, by less. What comes back is priced by
/// its own rules where it does not fit. Counts its work in `pricer`.
PlanPtr nudge_to_fit(const PlanPtr& plan, PlanPricer& pricer, Random& random, double patience,
                     const Run& run);

}  // namespace seamwright::search
