#include "seamwright/seams/plan_seams.h"

#include "seams/confirm.h"
#include "seams/plan_search.h"
#include "seams/proxy.h"
#include "seamwright/core/parallel.h"
#include "seamwright/profile/printer_presets.h"
#include "seamwright/query/simplify.h"

namespace seamwright {
namespace {

using search::SearchSetting;

/// Work is counted in points and faces looked at; about 35 million of them go through one core in a
/// second.
struct EffortSetting {
  std::size_t proxy_faces, refine_faces;
  search::SearchBudget budget;
};

EffortSetting setting_of(Effort effort) {
  switch (effort) {
    case Effort::quick:
      return {1500, 6000, {12, 0.5e8, 2e7, 2500}};
    case Effort::thorough:
      return {5000, 20000, {96, 4e9, 6e8, 2e5}};
    case Effort::normal:
      break;
  }
  return {3000, 10000, {48, 4.5e8, 1e8, 3e4}};
}

/// Pieces that just fill the room on the proxy are a little larger on the part.
constexpr double kProxySpare_mm = 0.3;

SearchSetting make_setting(const PlanOptions& options) {
  SearchSetting setting;
  setting.cost = options.cost;
  for (const Printer& printer : options.printers) {
    for (const ClearBox& box : clear_boxes(printer)) setting.rules.rooms_mm.push_back(box.size_mm);
  }
  setting.rules.poses = options.poses;
  setting.rules.measures_support = options.cost.support_h_per_cm2 > 0;
  setting.budget = setting_of(options.effort).budget;
  setting.seed = options.seed;
  setting.locked = options.locked;
  for (const std::vector<Vec3>& path : options.channel_paths) {
    for (std::size_t i = 0; i + 1 < path.size(); ++i)
      setting.channels.push_back({path[i], path[i + 1]});
  }
  return setting;
}

/// The part as one piece, when it fits and nothing is locked.
std::optional<PlannedSeams> whole_plan(const Solid& part, const PlanOptions& options,
                                       const PieceJudge& judge, const Run& run) {
  if (!options.locked.empty()) return std::nullopt;
  Result<std::vector<CutPiece>> pieces = cut_plan(part, SeamPlan{}, run);
  if (!pieces) return std::nullopt;
  PlannedSeams out;
  for (CutPiece& piece : *pieces) {
    const auto posed = search::exact_pose(piece.solid, options);
    if (!posed) return std::nullopt;
    out.maker_h += search::piece_h(piece.solid, posed->first, posed->second, options.cost, judge);
    out.pieces.push_back({std::move(piece), posed->first, posed->second});
  }
  return out;
}

search::SearchMesh stand_in(const Solid& part, std::span<const double> face_sight,
                            std::size_t faces, const SearchSetting& setting) {
  const Solid proxy = simplify(part, faces);
  return search::make_search_mesh(proxy, search::carry_sight(part, face_sight, proxy),
                                  setting.rules.standing.least_flat_side_mm2);
}

/// The run of a stage that is `from` to `to` of the whole.
Run stage_of(const Run& run, double from, double to) {
  Run stage = run;
  if (run.progress)
    stage.progress = [&run, from, to](double share) { run.report(from + (to - from) * share); };
  return stage;
}

/// Finalists from a coarse stand-in, refined on a finer one.
std::vector<search::PlanPtr> search_on_proxies(const Solid& part,
                                               std::span<const double> face_sight,
                                               const EffortSetting& effort, SearchSetting setting,
                                               const Run& run) {
  const bool is_exact = part.face_count() <= effort.proxy_faces;
  const double spare_mm = is_exact ? 0 : kProxySpare_mm;
  for (Vec3& room : setting.rules.rooms_mm) room = room - Vec3{spare_mm, spare_mm, spare_mm};
  const search::SearchMesh coarse = stand_in(part, face_sight, effort.proxy_faces, setting);
  std::vector<search::PlanPtr> plans = search::search_plans(coarse, setting, stage_of(run, 0, 0.7));
  if (is_exact) return plans;
  const search::SearchMesh fine = stand_in(part, face_sight, effort.refine_faces, setting);
  return search::refine_plans(plans, fine, setting, stage_of(run, 0.7, 0.85));
}

/// Every finalist on the part itself; the best of those that hold.
Result<PlannedSeams> best_confirmed(const std::vector<search::PlanPtr>& found,
                                    const search::FullPart& full, const SearchSetting& setting,
                                    const PlanOptions& options, const PieceJudge& judge,
                                    const Run& run) {
  std::vector<std::optional<Result<PlannedSeams>>> confirmed(found.size());
  for_each_index(found.size(), run, [&](std::size_t i) {
    confirmed[i] = search::confirm(*found[i], full, setting, options, judge, 9000 + i, run);
  });
  std::optional<Result<PlannedSeams>> best;
  for (auto& plan : confirmed) {
    if (!best ||
        (plan->has_value() && (!best->has_value() || (*plan)->maker_h < (*best)->maker_h))) {
      best = std::move(plan);
    }
  }
  return std::move(*best);
}

}  // namespace

Result<PlannedSeams> plan_seams(const Solid& part, std::span<const double> face_sight,
                                const PlanOptions& options, const PieceJudge& judge,
                                const Run& run) {
  require(!options.printers.empty(), "a plan needs a printer");
  require(face_sight.size() == part.face_count(), "one sight a face");
  std::optional<PlannedSeams> whole = whole_plan(part, options, judge, run);
  if (whole) return std::move(*whole);
  const SearchSetting setting = make_setting(options);
  const std::vector<search::PlanPtr> found =
      search_on_proxies(part, face_sight, setting_of(options.effort), setting, run);
  if (run.should_stop()) return Error{"cancelled", "the search for seams was stopped"};
  const search::FullPart full{
      std::make_shared<const Solid>(part),
      search::make_search_mesh(part, face_sight, setting.rules.standing.least_flat_side_mm2)};
  Result<PlannedSeams> best = best_confirmed(found, full, setting, options, judge, run);
  if (!best) return best;
  std::tie(best->piece_lower_bound, best->bound_reason) = piece_lower_bound(part, options.printers);
  best->is_complete = !run.should_finish();
  run.report(1);
  return best;
}

}  // namespace seamwright
