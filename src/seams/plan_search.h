#pragma once

#include "seams/plan_tree.h"
#include "seamwright/core/run.h"
#include "seamwright/seams/plan_seams.h"

namespace seamwright::search {

/// How much is spent, by effort.
struct SearchBudget {
  std::size_t starts = 40;
  double work = 5e8;         ///< of all annealing, in PlanPricer's units
  double refine_work = 1e8;  ///< of the finer mesh
  double most_steps = 3e4;   ///< of one annealing
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

/// The best few plans on a mesh, best first, from independent starts: starts, then a race of eight,
/// of four and again of four annealings. The same on any thread count.
std::vector<PlanPtr> search_plans(const SearchMesh& mesh, const SearchSetting& setting,
                                  const Run& run);

/// The same plans on a finer mesh, annealed cold. Best first.
std::vector<PlanPtr> refine_plans(const std::vector<PlanPtr>& plans, const SearchMesh& mesh,
                                  const SearchSetting& setting, const Run& run);

}  // namespace seamwright::search
