#pragma once

#include "seams/plan_tree.h"
#include "seamwright/core/run.h"

namespace seamwright::search {

/// All seams of a plan that fits, moved to where they cost the least near by. Pieces that just fill
/// their rooms jam each other, and no seam can move alone: so again and again the plan's hours, how
/// far each piece reaches in its room and what the standing rules have to spare are made linear in
/// the moves of all seams and the turns of all pieces, and the best small step of that is taken
/// when it holds by the true rules. Sequential linear programming in a trust region (Nocedal and
/// Wright, Numerical Optimization, 2nd ed. 2006, section 18.5). Returns a plan that costs no more;
/// ends after `work` in PlanPricer's units or when the steps get too small. Costs some seven looks
/// at what lies under each seam a step.
PlanPtr settle(PlanPtr plan, PlanPricer& pricer, double work, const Run& run);

/// Pieces that came out too large or don't stand, made to fit by the same programme, dearer or not:
/// what sticks out is passed on through all seams at once, where single nudges would have to go the
/// way through every piece between. In at most twenty steps; some may misfit still, by less. What
/// comes back is priced by its own rules where it does not fit. Counts its work in `pricer`.
PlanPtr settle_to_fit(const PlanPtr& plan, PlanPricer& pricer, const Run& run);

}  // namespace seamwright::search
