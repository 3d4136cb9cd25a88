#include "job/square_wires.h"

#include <algorithm>

#include "job/wiring_stage.h"
#include "seamwright/query/mass_properties.h"
#include "seamwright/seams/plan_desk.h"

namespace seamwright::job_detail {
namespace {

/// The part with its wires led anew, and its pieces judged.
struct LedAnew {
  WiredPart wired;
  std::vector<double> sight, weights;
  PlannedSeams seams;
};

Result<LedAnew> led_anew(const HandOff& out, const SquareWires& wires,
                         const std::vector<double>& weights, PlanOptions& asked, const Run& run) {
  const Result<std::vector<double>> seen = quick_sight(wires.unwired, wires.job, wires.sight, run);
  if (!seen) return seen.error();
  Result<WiredPart> wired = wire_part(wires.unwired, wires.job.wiring, *seen, run, &out.seams.plan);
  if (!wired) return std::move(wired).error();
  LedAnew anew{std::move(*wired), {}, {}, {}};
  const Solid& solid = anew.wired.solid;
  anew.sight = sight_carried(out.wired, out.sight, solid);
  if (!weights.empty()) anew.weights = sight_carried(out.wired, weights, solid);
  keep_clear_of(anew.wired.channels, anew.wired.pockets, asked);
  PlanDesk desk({std::shared_ptr<void>(), &solid}, {anew.sight, anew.weights}, asked, wires.judge);
  Result<PlannedSeams> judged = desk.judge(out.seams.plan, run);
  if (!judged) return std::move(judged).error();
  anew.seams = std::move(*judged);
  return anew;
}

/// The desk says neither what moving each seam would cost nor other plans: those stay.
void take_seams(PlannedSeams& seams, PlannedSeams&& anew) {
  for (std::size_t i = 0; i < seams.seam_costs.size(); ++i) {
    const auto forward_h = seams.seam_costs[i].forward_h, back_h = seams.seam_costs[i].back_h;
    seams.seam_costs[i] = anew.seam_costs[i];
    seams.seam_costs[i].forward_h = forward_h;
    seams.seam_costs[i].back_h = back_h;
  }
  seams.pieces = std::move(anew.pieces);
  seams.maker_h = anew.maker_h;
  seams.figures = std::move(anew.figures);
}

void take_wires(HandOff& out, LedAnew&& anew, std::vector<double>& weights) {
  out.sight = std::move(anew.sight);
  weights = std::move(anew.weights);
  out.wired = std::move(anew.wired.solid);
  out.part.wired_volume_mm3 = volume_mm3(out.wired);
  out.channels = std::move(anew.wired.channels);
  out.pockets = std::move(anew.wired.pockets);
  take_seams(out.seams, std::move(anew.seams));
  std::erase_if(out.warnings, [](const Warning& warning) { return warning.code == "wire"; });
  for (std::string& message : anew.wired.warnings)
    out.warnings.push_back({"wire", std::move(message)});
}

}  // namespace

Status lead_squarely(HandOff& out, const SquareWires& wires, std::vector<double>& weights,
                     PlanOptions& asked, const Run& run) {
  const Result<std::vector<SeamCrossing>> before = crossings_of(out);
  if (!before) return before.error();
  if (std::none_of(before->begin(), before->end(), crosses_askew)) return ok();
  PlanOptions again = asked;
  Result<LedAnew> anew = led_anew(out, wires, weights, again, {run.thread_count, run.cancel, {}});
  if (!anew && anew.error().code == "cancelled") return std::move(anew).error();
  if (anew) {
    take_wires(out, std::move(*anew), weights);
    asked = std::move(again);
    return ok();
  }
  out.warnings.push_back(
      {"wires-not-led-anew",
       "No wire was led anew to cross its seams squarely: " + anew.error().message});
  return ok();
}

}  // namespace seamwright::job_detail
