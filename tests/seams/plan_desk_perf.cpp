#include <benchmark/benchmark.h>

#include "seamwright/core/memory.h"
#include "seamwright/pose/quick_estimate.h"
#include "seamwright/seams/plan_desk.h"
#include "support/plans.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

/// The elephant of 356 k faces in eleven pieces or so, with quick print times.
struct Desk {
  Desk() {
    keep_freed_memory();  // as the program does
    options.cost = *preset_weights("painted");
    judge.print_s = [this](const Solid& solid, const Pose& pose, std::size_t printer) {
      return quick_estimate(solid, pose, options.printers[printer], {}, {}).print_s;
    };
    plan = plan_seams(*part, sight, options, {}).value().plan;
    desk.emplace(part, sight, options, judge);
    benchmark::DoNotOptimize(desk->judge(plan));
  }
  std::shared_ptr<const Solid> part =
      std::make_shared<const Solid>(testing::subdivide(testing::reference_part("elephant"), 1));
  std::vector<double> sight = std::vector<double>(part->face_count(), 1.0);
  PlanOptions options = testing::quick_options();
  PieceJudge judge;
  SeamPlan plan;
  std::optional<PlanDesk> desk;
};

// One seam moved by half a millimetre on: new pieces, fits and hours. Goal: 300 ms.
void move_seam(benchmark::State& state) {
  static Desk on;
  const auto k = static_cast<std::size_t>(state.range(0));
  if (k >= on.plan.seams.size()) return state.SkipWithError("the plan has fewer seams");
  Plane plane = on.plan.seams[k].plane;
  std::size_t held = 0;
  for (auto _ : state) {
    plane.offset_mm += 0.05;
    const SeamPlan moved = apply(on.plan, MoveSeam{on.plan.seams[k].id, plane}).value();
    held += on.desk->judge(moved).has_value();
  }
  state.counters["held"] = static_cast<double>(held);
}
BENCHMARK(move_seam)->DenseRange(0, 9)->Unit(benchmark::kMillisecond)->Iterations(4)->UseRealTime();

}  // namespace
}  // namespace seamwright
