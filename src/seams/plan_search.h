#pragma once

#include "seams/plan_tree.h"
#include "seamwright/core/run.h"
#include "seamwright/seams/plan_seams.h"

namespace seamwright::search {

/// How much is spent, by effort.
struct SearchBudget {
  std::size_t starts = 40;
  std::size_t box_starts = 16;   ///< besides
  std::size_t slab_starts = 24;  ///< by each kind of easier rules, beside its grids
  double most_boxes = 1e6;       ///< of each of their tables
  double work = 5e8;  ///< in PlanPricer's units; a racer has a share of it in a heat, all twice it
  double most_steps = 3e4;  ///< of one annealing
  bool may_ease = true;     ///< some plans have it easier at first
};

/// A mesh that stands for the part, and what pieces cut from it are judged stricter by.
struct StandIn {
  SearchMesh mesh;
  Slack slack;
};

/// What a search needs besides the mesh.
struct SearchSetting {
  PriceRules prices;      ///< what this search goes by
  PriceRules own_prices;  ///< the maker's own, by which plans are reported
  FitRules rules;
  SearchBudget budget;
  std::uint64_t seed = 1;
  std::vector<Plane> locked;
  std::vector<std::vector<Plane>> done_cells;
  std::vector<std::array<Vec3, 2>> channels;
};

/// What the options say of rooms, prices and wishes; the budget is left as it is, the pace unknown.
SearchSetting make_setting(const PlanOptions& options);

/// The whole body with the channels and seats in it.
std::shared_ptr<const ClipBody> channelled_body(const SearchMesh& mesh,
                                                const SearchSetting& setting);

/// The whole body under its fixed seams: those on the way to pieces that are done, then the locked
/// ones, each cutting every other half it meets.
PlanPtr fixed_seams(const SearchMesh& mesh, const SearchSetting& setting, PlanPricer& pricer);

/// The best few plans, best first, from independent starts: starts on the coarsest stand-in, then a
/// race of ever fewer annealings, each heat on the next finer one, the last on the finest, where
/// they are settled. Two of three racers have it easier in the first heat and half as much so in
/// the second, in rooms a little too large: half of these may lie any way they fit, the other half
/// go by milder standing rules. Of racers that divide the part all but alike only the best goes on,
/// in the last two heats also in copies, each with its own share of chance. Empty when the run
/// should finish before a plan fits. The same on any thread count.
std::vector<PlanPtr> search_plans(std::span<const StandIn> stand_ins, const SearchSetting& setting,
                                  const Run& run);

}  // namespace seamwright::search
