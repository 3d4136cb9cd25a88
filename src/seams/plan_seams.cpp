#include "seamwright/seams/plan_seams.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <limits>

#include "seams/confirm.h"
#include "seams/enclose.h"
#include "seams/hold_joints.h"
#include "seams/mirrored_plan.h"
#include "seams/plan_search.h"
#include "seams/proxy.h"
#include "seams/sensitivity.h"
#include "seamwright/core/parallel.h"
#include "seamwright/query/simplify.h"

namespace seamwright {
namespace {

using search::SearchSetting;

/// Work is counted in points and faces looked at; about 35 million of them go through one core in a
/// second.
struct StandInSetting {
  std::size_t faces;
  double swelling_share;
};
struct EffortSetting {
  std::vector<StandInSetting> stand_ins;  ///< coarse to fine
  search::SearchBudget budget;
};

/// Where pieces may be tilted, poses are dearer to judge than their work says.
EffortSetting setting_of(Effort effort, Poses poses) {
  switch (effort) {
    case Effort::quick:
      return {{{1500, 0.5}, {6000, 1}}, {12, 4, 0, 1e5, 0.7e8, 2500, false}};
    case Effort::thorough:
      return {{{3000, 0.3}, {5000, 0.6}, {10000, 0.9}, {20000, 1}},
              {160, 64, 120, 1e6, 3.5e9, 2e5}};
    case Effort::normal:
      break;
  }
  const double work = poses == Poses::standing ? 6.9e8 : 5.8e8;
  return {{{2000, 0.2}, {3000, 0.5}, {6000, 0.8}, {10000, 1}}, {96, 44, 72, 3e5, work, 3e4}};
}

/// A piece that just stands on a stand-in stands a little worse on the next finer mesh; a plan that
/// no longer holds there costs a piece more. Sizes need next to nothing, as the part lies inside.
constexpr search::Slack kCoarseSlack{0.02, 0.01, 6}, kFineSlack{0.01, 0.005, 3};

/// What all searches for one part share.
struct Ground {
  std::vector<search::StandIn> stand_ins;  ///< coarse to fine; the last may be the part itself
  search::FullPart full;
};

/// The run of a stage that is `from` to `to` of the whole.
Run stage_of(const Run& run, double from, double to) {
  Run stage = run;
  if (run.progress)
    stage.progress = [&run, from, to](double share) { run.report(from + (to - from) * share); };
  return stage;
}

class Planner {
 public:
  Planner(const Solid& part, const SkinView& skin, const PlanOptions& options,
          const PieceJudge& judge, const Run& run)
      : part_(part),
        skin_(skin),
        options_(options),
        judge_(judge),
        run_(run),
        effort_(setting_of(options.effort, options.poses)),
        setting_(search::make_setting(options)),
        bound_(piece_lower_bound(part, options.printers)) {
    setting_.budget = effort_.budget;
  }

  Result<PlannedSeams> plan() {
    if (!options_.given && bound_.first > kMostPlannedPieces)
      return check_piece_count(part_, options_.printers).error();
    std::optional<PlannedSeams> whole = whole_plan();
    if (whole) return std::move(*whole);
    prepare();
    Result<PlannedSeams> best = options_.given
                                    ? search::ExactJudge(ground_.full, setting_, options_, judge_)
                                          .judge(*options_.given, run_)
                                    : best_allowed();
    if (!best) return best;
    if (!options_.given) best = with_others(std::move(*best));
    search::add_sensitivity(*best, ground_.full, setting_, run_);
    std::tie(best->piece_lower_bound, best->bound_reason) = bound_;
    best->is_complete = !run_.should_finish();
    run_.report(1);
    return best;
  }

 private:
  /// The part as one piece, when it fits and nothing is asked of the plan.
  std::optional<PlannedSeams> whole_plan() {
    if (!options_.locked.empty() || options_.given || !options_.done_cells.empty())
      return std::nullopt;
    Result<std::vector<CutPiece>> pieces = cut_plan(part_, SeamPlan{}, run_);
    if (!pieces || pieces->size() < bound_.first) return std::nullopt;
    PlannedSeams out;
    for (CutPiece& piece : *pieces) {
      const auto posed = search::exact_pose(piece.solid, options_);
      if (!posed) return std::nullopt;
      const double print_s =
          judge_.print_s ? judge_.print_s(piece.solid, posed->first, posed->second) : 0;
      out.maker_h += search::piece_h(posed->first, print_s, setting_.own_prices);
      out.figures.print_s += print_s;
      out.pieces.push_back({std::move(piece), posed->first, posed->second});
    }
    return out;
  }

  /// The meshes that are searched, and the pace at which the part prints.
  void prepare() {
    const std::vector<StandInSetting>& settings = effort_.stand_ins;
    const Solid finest = simplify(part_, settings.back().faces);
    setting_.own_prices.pace =
        search::measure_pace(simplify(finest, settings.front().faces), judge_);
    setting_.prices = setting_.own_prices;
    ground_.full = {std::make_shared<const Solid>(part_),
                    search::make_search_mesh(part_, skin_, least_flat_mm2())};
    if (options_.given) return;
    take_fewer_starts();
    const RayTree part_tree(part_);
    for (const StandInSetting& setting : settings) {
      if (part_.face_count() <= setting.faces) {
        ground_.stand_ins.push_back({ground_.full.mesh, {}});
        break;
      }
      const bool is_last = &setting == &settings.back();
      const Solid proxy = is_last ? finest : simplify(finest, setting.faces);
      ground_.stand_ins.push_back({stand_in(proxy, part_tree, setting.swelling_share),
                                   is_last ? kFineSlack : kCoarseSlack});
    }
  }

  /// A start costs as much as it has pieces, whatever the budget of the race: of parts that need
  /// very many, as many fewer are made. On a rod of 83 pieces all of them took one core over 400 s.
  void take_fewer_starts() {
    constexpr std::size_t kMany = 40, kLeast = 6;
    const std::size_t pieces = bound_.first;
    if (pieces <= kMany) return;
    search::SearchBudget& budget = setting_.budget;
    for (std::size_t* starts : {&budget.starts, &budget.box_starts, &budget.slab_starts})
      *starts = std::min(*starts, std::max(kLeast, *starts * kMany / pieces));
  }

  double least_flat_mm2() const { return setting_.rules.standing.least_flat_side_mm2; }

  search::SearchMesh stand_in(const Solid& proxy, const RayTree& part_tree,
                              double swelling_share) const {
    const search::StoodFor behind(part_, part_tree, proxy, run_);
    const std::vector<double> sight = behind.means(skin_.sight),
                              weight = behind.means(skin_.weight);
    search::SearchMesh mesh = search::make_search_mesh(proxy, {sight, weight}, least_flat_mm2());
    search::enclose(mesh, part_, {.share = swelling_share}, run_);
    for (std::size_t f = 0; f < mesh.facts.size(); ++f) {
      search::FaceFacts& facts = mesh.facts[f];
      if (facts.flat == search::kNoFlat) facts.normal = behind.normal(f, facts.normal);
    }
    return mesh;
  }

  /// One search: every finalist on the part itself; the best of those that hold.
  Result<PlannedSeams> best_of(const SearchSetting& setting, const Run& run) const {
    const std::vector<search::PlanPtr> found =
        search::search_plans(ground_.stand_ins, setting, stage_of(run, 0, 0.85));
    if (run.should_stop()) return Error{"cancelled", "the search for seams was stopped"};
    if (found.empty()) return stopped_before_a_plan();
    std::vector<std::optional<Result<search::HeldPlan>>> finalists(found.size());
    for_each_index(found.size(), run, [&](std::size_t i) {
      Result<PlannedSeams> plan =
          search::confirm(*found[i], ground_.full, setting, options_, judge_, 9000 + i, run);
      if (plan && run.should_finish())
        finalists[i] = search::HeldPlan{std::move(*plan)};
      else if (plan)
        finalists[i] = search::with_loose_joints(std::move(*plan), setting, judge_);
      else
        finalists[i] = std::move(plan).error();
    });
    const auto is_better = [&](const auto& a, const auto& b) {
      if (!a->has_value() || !b->has_value()) return a->has_value() && !b->has_value();
      const bool a_allowed = is_allowed((*a)->plan), b_allowed = is_allowed((*b)->plan);
      return a_allowed != b_allowed ? a_allowed : (*a)->hours() < (*b)->hours();
    };
    auto& best = *std::min_element(finalists.begin(), finalists.end(), is_better);
    if (!*best && run.should_finish()) return stopped_before_a_plan();
    if (!*best) return std::move(*best).error();
    Result<search::HeldPlan> held =
        search::hold_joints(std::move(**best), ground_.full, setting, options_, judge_, run);
    if (!held) return std::move(held).error();
    return std::move(held->plan);
  }

  static Error stopped_before_a_plan() {
    return {"stopped-without-plan",
            "stopped before there was a plan in which every piece fits; run it again and let it "
            "search longer, or take less trouble with --effort quick"};
  }

  bool is_allowed(const PlannedSeams& planned) const {
    return options_.most_pieces == 0 || planned.pieces.size() <= options_.most_pieces;
  }

  /// The best plan with no more pieces than the maker allows: pieces are made dearer until they
  /// are few enough.
  Result<PlannedSeams> best_allowed() {
    constexpr std::array<double, 3> kDearer{3, 8, 20};
    Result<PlannedSeams> best = best_of(setting_, stage_of(run_, 0, main_share()));
    for (const double factor : kDearer) {
      if (!best || is_allowed(*best) || run_.should_finish()) break;
      setting_.prices.cost.piece_h = factor * std::max(0.1, options_.cost.piece_h);
      best = best_of(setting_, run_);
    }
    setting_.prices = setting_.own_prices;
    if (!best || is_allowed(*best)) return best;
    if (run_.should_finish()) return stopped_before_a_plan();
    const auto& [least, why] = bound_;
    return Error{"no-plan",
                 fmt::format("the best plans found have {} pieces, more than the {} you allow (no "
                             "plan has fewer than {}: {}); allow more or take a larger printer",
                             best->pieces.size(), options_.most_pieces, least, why)};
  }

  double main_share() const { return 1.0 / static_cast<double>(1 + options_.other_plans); }

  /// The prices by which a plan with another aim is searched.
  search::PriceRules prices_for(const std::string& aim, const PlannedSeams& best) const {
    search::PriceRules prices = setting_.own_prices;
    const auto pieces = static_cast<double>(best.pieces.size());
    if (aim == kFewestPieces) prices.cost.piece_h *= 5;
    if (aim == kLeastShown) prices.cost.shown_h_per_cm *= 4;
    if (aim == kLeastPrinting) {
      prices.print_hour_h = 0.3;
      prices.cost.support_h_per_cm2 *= 4;
    }
    if (aim == kEven) {
      prices.longest_print_h = 1.15 * best.figures.print_s / 3600 / pieces;
      prices.cost.over_window_h = 1;
    }
    return prices;
  }

  /// Searches with other aims. Whatever is best by the maker's own weights becomes the plan; of the
  /// rest those are kept that are better in some figure.
  PlannedSeams with_others(PlannedSeams best) {
    std::vector<PlannedSeams> found;
    found.push_back(std::move(best));
    for (std::size_t k = 0; k < std::min(options_.other_plans, kAims.size()); ++k) {
      if (run_.should_finish()) break;
      SearchSetting setting = setting_;
      setting.prices = prices_for(kAims[k], found.front());
      setting.seed = setting_.seed + 7000 * (k + 1);
      const double from = main_share() * static_cast<double>(k + 1);
      Result<PlannedSeams> other = best_of(setting, stage_of(run_, from, from + main_share()));
      if (!other || !is_allowed(*other)) continue;
      found.push_back(std::move(*other));
    }
    std::stable_sort(found.begin(), found.end(), by_hours);
    PlannedSeams out = std::move(found.front());
    for (std::size_t i = 1; i < found.size(); ++i) {
      const auto is_no_better = [&](const OtherPlan& than) {
        return is_no_better_in_any(found[i].figures, than);
      };
      if (!is_no_better(out.figures) &&
          std::none_of(out.others.begin(), out.others.end(), is_no_better))
        out.others.push_back(std::move(found[i].figures));
    }
    name_strengths(out);
    return out;
  }

  static bool by_hours(const PlannedSeams& a, const PlannedSeams& b) {
    return a.maker_h < b.maker_h;
  }
  using Figures = std::array<double, 5>;
  static Figures figures_of(const OtherPlan& plan) {
    return {plan.maker_h, static_cast<double>(plan.pieces), plan.shown_mm, plan.print_s,
            plan.longest_print_s};
  }
  /// A plan is worth showing when some figure of it is better by 2 % at least.
  static bool is_no_better_in_any(const OtherPlan& plan, const OtherPlan& than) {
    const Figures a = figures_of(plan), b = figures_of(than);
    for (std::size_t k = 0; k < a.size(); ++k) {
      if (a[k] < 0.98 * b[k]) return false;
    }
    return true;
  }
  /// Each plan is called by what it is the best at, of all that are shown.
  static void name_strengths(PlannedSeams& out) {
    static constexpr std::array<const char*, 5> kStrengths{"least of your hours", kFewestPieces,
                                                           kLeastShown, kLeastPrinting, kEven};
    std::vector<OtherPlan*> plans{&out.figures};
    for (OtherPlan& other : out.others) plans.push_back(&other);
    for (OtherPlan* plan : plans) plan->aim.clear();
    for (std::size_t k = 0; k < kStrengths.size(); ++k) {
      double least = std::numeric_limits<double>::infinity();
      for (const OtherPlan* plan : plans) least = std::min(least, figures_of(*plan)[k]);
      for (OtherPlan* plan : plans) {
        if (figures_of(*plan)[k] > least || (k > 0 && out.others.empty())) continue;
        plan->aim += (plan->aim.empty() ? "" : ", ") + std::string(kStrengths[k]);
      }
    }
    for (OtherPlan* plan : plans) {
      if (plan->aim.empty()) plan->aim = "in between";
    }
  }

  static constexpr const char* kFewestPieces = "fewest pieces";
  static constexpr const char* kLeastShown = "least shown seam";
  static constexpr const char* kLeastPrinting = "fewest print hours";
  static constexpr const char* kEven = "shortest longest print";
  static constexpr std::array<const char*, 4> kAims{kFewestPieces, kLeastShown, kLeastPrinting,
                                                    kEven};

  const Solid& part_;
  const SkinView& skin_;
  const PlanOptions& options_;
  const PieceJudge& judge_;
  const Run& run_;
  EffortSetting effort_;
  SearchSetting setting_;
  std::pair<std::size_t, std::string> bound_;  ///< of pieces, and why
  Ground ground_;
};

}  // namespace

Result<PlannedSeams> plan_seams(const Solid& part, const SkinView& skin, const PlanOptions& options,
                                const PieceJudge& judge, const Run& run) {
  require(!options.printers.empty(), "a plan needs a printer");
  require(skin.sight.size() == part.face_count(), "one sight a face");
  if (options.mirror && !options.given)
    return search::find_mirrored_plan(part, skin, options, judge, run);
  return Planner(part, skin, options, judge, run).plan();
}

}  // namespace seamwright
