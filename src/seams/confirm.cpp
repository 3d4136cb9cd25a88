#include "seams/confirm.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "seams/directions.h"
#include "seams/nudge.h"
#include "seams/settle.h"
#include "seams/starts.h"

namespace seamwright::search {
namespace {

constexpr int kMostRounds = 9;
/// How long misfits are nudged without a gain. Before anything is cut that pays, on a part that is
/// not too large; after that they are cut soon.
constexpr double kFirstPatience = 1000, kPatience = 200;  ///< work a face
constexpr double kMostPatience = 0.15;                    ///< of the search's work, for the former
constexpr double kPolishShare = 0.06;                     ///< of the search's work, a plan

/// Preorder position of the seam with `id` in to_seam_plan's numbering.
std::uint32_t index_of(SeamId id) {
  return static_cast<std::uint32_t>(id) - 1;
}

template <class Change>
PlanPtr change_leaf(const PlanPtr& node, std::uint32_t seam_index, Side side,
                    const Change& change) {
  PlanPtr above = node->above, below = node->below;
  if (seam_index == 0) {
    PlanPtr& half = side == Side::above ? above : below;
    half = change(half);
  } else if (seam_index - 1 < above->seams) {
    above = change_leaf(above, seam_index - 1, side, change);
  } else {
    below = change_leaf(below, seam_index - 1 - above->seams, side, change);
  }
  return PlanPricer::join(node->body, node->plane, node->is_locked, node->own_h, above, below);
}

class Confirmer {
 public:
  Confirmer(const FullPart& full, const SearchSetting& setting, const PlanOptions& options,
            const PieceJudge& judge, std::uint64_t stream, const Run& run)
      : full_(full),
        run_(run),
        setting_(setting),
        rules_(setting.rules),
        pricer_(full.mesh, setting.prices, rules_, &run),
        random_(setting.seed, stream),
        judge_(full, setting, options, judge) {}

  /// Misfits weigh so much that no seam is worth one.
  Result<PlannedSeams> confirm(const PlanNode& found) {
    rules_.misfit_weight = 5;
    PlanPtr plan = pricer_.replay(channelled_body(full_.mesh, setting_), found);
    plan = nudge_off_crumbs(std::move(plan), found.slivers, pricer_, random_);
    // The exact judge first: it finds poses that the search's look at a few facets misses, and then
    // nothing need be nudged.
    if (plan->misfits > 0) {
      Result<PlannedSeams> posed = judge_.pose(to_seam_plan(*plan), misfits_, run_);
      if (!posed) return posed;
      if (misfits_.leaves.empty()) return judge_.price(std::move(*posed), run_);
      plan = nudged(plan, first_patience());
    }
    PlanPtr unpolished = plan;
    plan = polished(std::move(plan));
    if (unpolished == plan)
      unpolished = nullptr;  // nothing gained: there is no other to go back to
    for (int round = 0; round < kMostRounds; ++round) {
      Result<PlannedSeams> posed = judge_.pose(to_seam_plan(*plan), misfits_, run_);
      if (!posed) return posed;
      if (misfits_.leaves.empty()) return judge_.price(std::move(*posed), run_);
      if (unpolished && unpolished->misfits == 0) {
        plan = less_polished(unpolished, round);
        continue;
      }
      if (run_.should_stop()) return Error{"cancelled", "the search for seams was stopped"};
      if (run_.should_finish()) {
        plan = with_misfits_halved(plan);
        continue;
      }
      if (plan->misfits == 0) plan = tightened(plan);
      if (plan->misfits > 0) plan = repaired(plan);
    }
    return misfits_.error();
  }

 private:
  /// Stand-ins were a little larger than the part, and a little off: the last tenths of a mm.
  PlanPtr polished(PlanPtr plan) {
    return settle(std::move(plan), pricer_, kPolishShare * setting_.budget.work, run_);
  }

  /// Polish ends at the edge of what fits: once more a hair inside of it, then not at all.
  PlanPtr less_polished(PlanPtr& unpolished, int round) {
    const FitRules rules = rules_;
    if (round == 0) {
      rules_ = stricter(rules_, {.spare_mm = 0.05, .share = 0.01});
      PlanPtr inside = pricer_.replay(unpolished->body, *unpolished);
      if (inside->misfits == 0) return polished(std::move(inside));
    }
    rules_ = rules;
    return std::exchange(unpolished, nullptr);
  }

  /// Small moves of the seams around what does not fit, where they better it: shared out among
  /// several pieces, it may want more cuts than before.
  PlanPtr nudged(const PlanPtr& plan, double patience) {
    const PlanPtr fitting = nudge_to_fit(plan, pricer_, random_, patience, run_);
    PlanPtr changed = pricer_.replay(fitting->body, *fitting);
    return changed->total_h < plan->total_h ? changed : plan;
  }

  /// What small moves can't make fit is cut once more.
  PlanPtr repaired(const PlanPtr& plan) {
    return fill_misfits(nudged(plan, kPatience * faces()), pricer_, random_, 2);
  }

  double faces() const { return static_cast<double>(full_.mesh.triangles.size()); }
  double first_patience() const {
    const double most = std::max(kPatience * faces(), kMostPatience * setting_.budget.work);
    return std::min(kFirstPatience * faces(), most);
  }

  /// The exact judge refused pieces that the search thought to fit: rooms and rules are taken a
  /// little stricter, and from the third time on those pieces are cut in the middle.
  PlanPtr tightened(const PlanPtr& plan) {
    rules_ = stricter(rules_, {.spare_mm = 0.1, .share = 0.02});
    if (++tightenings_ <= 2 || plan->is_leaf()) return pricer_.replay(plan->body, *plan);
    return with_misfits_halved(plan);
  }

  /// Sure and soon done, at the price of pieces.
  PlanPtr with_misfits_halved(const PlanPtr& plan) {
    if (plan->is_leaf()) return halved(plan);
    PlanPtr changed = plan;
    // From the last to the first, so that the numbers of those before stay as they are.
    for (auto at = misfits_.leaves.rbegin(); at != misfits_.leaves.rend(); ++at) {
      changed = change_leaf(changed, index_of(at->first), at->second,
                            [&](const PlanPtr& leaf) { return halved(leaf); });
    }
    return changed;
  }

  PlanPtr halved(const PlanPtr& leaf) {
    if (!leaf->is_leaf()) return leaf;
    const Vec3 normal = principal_axes(*leaf->body)[0];
    double low = std::numeric_limits<double>::infinity(), high = -low;
    for (const Vec3 p : leaf->body->points) {
      low = std::min(low, dot(p, normal));
      high = std::max(high, dot(p, normal));
    }
    return pricer_.split(leaf->body, {normal, (low + high) / 2});
  }

  const FullPart& full_;
  const Run& run_;
  const SearchSetting& setting_;
  FitRules rules_;
  PlanPricer pricer_;
  Random random_;
  ExactJudge judge_;
  ExactJudge::Misfits misfits_;
  int tightenings_ = 0;
};

}  // namespace

Result<PlannedSeams> confirm(const PlanNode& found, const FullPart& full,
                             const SearchSetting& setting, const PlanOptions& options,
                             const PieceJudge& judge, std::uint64_t stream, const Run& run) {
  return Confirmer(full, setting, options, judge, stream, run).confirm(found);
}

}  // namespace seamwright::search
