#include "seamwright/seams/plan_desk.h"

#include "seams/exact_judge.h"
#include "seamwright/query/simplify.h"

namespace seamwright {

namespace {
/// Enough to go back and forth between a few plans.
constexpr std::size_t kRememberedPlans = 8;
}  // namespace

struct PlanDesk::Memory {
  Memory(std::shared_ptr<const Solid> solid, const SkinView& skin, const PlanOptions& wishes,
         PieceJudge piece_judge)
      : options(wishes),
        judge(std::move(piece_judge)),
        setting(search::make_setting(options)),
        full{std::move(solid), {}},
        exact(full, setting, options, judge, kRememberedPlans) {
    constexpr std::size_t kPaceFaces = 3000;
    full.mesh =
        search::make_search_mesh(*full.solid, skin, setting.rules.standing.least_flat_side_mm2);
    setting.own_prices.pace = search::measure_pace(simplify(*full.solid, kPaceFaces), judge);
    setting.prices = setting.own_prices;
  }

  PlanOptions options;
  PieceJudge judge;
  search::SearchSetting setting;
  search::FullPart full;
  search::ExactJudge exact;
};

PlanDesk::PlanDesk(std::shared_ptr<const Solid> part, const SkinView& skin,
                   const PlanOptions& options, PieceJudge judge)
    : memory_(std::make_unique<Memory>(std::move(part), skin, options, std::move(judge))) {}
PlanDesk::~PlanDesk() = default;
PlanDesk::PlanDesk(PlanDesk&&) noexcept = default;

Result<PlannedSeams> PlanDesk::judge(const SeamPlan& plan, const Run& run) {
  return memory_->exact.judge(plan, run);
}

}  // namespace seamwright
