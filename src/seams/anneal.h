#pragma once

#include "seams/plan_tree.h"
#include "seamwright/core/random.h"
#include "seamwright/core/run.h"

namespace seamwright::search {

/// How long and how hot one annealing is.
struct AnnealSchedule {
  double work = 0;        ///< budget, in PlanPricer's units
  double most_steps = 0;  ///< and in moves: small meshes need no more
  double hot_h = 0.25;    ///< temperature at the start
  double cold_h = 0.01;   ///< and at the end
  double grid_share = 0;  ///< of the moves that cut a subtree anew by a grid
};

/// Improves all planes of a plan: shifts, tilts about a skin point, several seams slid as one,
/// better offsets, merges, splits, rebuilt subtrees, swapped orders, a seam less with its
/// neighbours moved to make up for it, a subtree cut anew as the best plan of a grid, each accepted
/// by simulated annealing. Returns the best plan met: one in which every piece fits before any
/// other, then by hours. Stops early when the run should finish.
PlanPtr anneal(PlanPtr start, PlanPricer& pricer, Random& random, const AnnealSchedule& schedule,
               const Run& run);

/// Whether plan a is to be preferred: plans that fit are never compared with plans that don't.
bool is_better(const PlanNode& a, const PlanNode& b);

}  // namespace seamwright::search
