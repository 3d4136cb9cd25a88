#pragma once

#include "seams/plan_search.h"

namespace seamwright::search {

/// By which rules a racer goes at first.
enum class Ease {
  none,         ///< the true ones
  any_pose,     ///< pieces may be tilted, and be a little too large
  milder_rules  ///< they may be larger still, but must all but stand where they must
};

/// Racers of a kind race among themselves until the true rules hold for all: the best of one kind
/// says nothing against those of another, which often end better.
struct RacerKind {
  Ease ease = Ease::none;
  bool is_slabs = false;  ///< of those with an ease: from slabs, not from a grid
  bool operator==(const RacerKind&) const = default;
};
inline constexpr std::array<RacerKind, 5> kRacerKinds{
    RacerKind{}, RacerKind{Ease::any_pose, false}, RacerKind{Ease::any_pose, true},
    RacerKind{Ease::milder_rules, false}, RacerKind{Ease::milder_rules, true}};

struct Racer {
  PlanPtr plan;
  std::uint64_t number = 0;  ///< its own, for its share of chance
  RacerKind kind;
};

/// The rules with so much of the whole ease.
FitRules eased(FitRules rules, Ease ease, double share = 1);

/// The best first.
void rank(std::vector<Racer>& racers);

/// The best starts of a kind on this mesh, best first, `rules` being the true ones. By the true
/// rules as many from grids as from simpler starts: slabs, rollouts and fans.
std::vector<Racer> first_racers(const RacerKind& kind, std::size_t count, const SearchMesh& mesh,
                                const SearchSetting& setting, const FitRules& rules,
                                const Run& run);

}  // namespace seamwright::search
