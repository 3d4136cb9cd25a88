#include <benchmark/benchmark.h>

#include "handoff/sample_hand_off.h"
#include "seamwright/cut/cut_plan.h"
#include "seamwright/handoff/write_hand_off.h"

namespace seamwright {
namespace {

/// The elephant (89 k faces, 600 mm) in eight pieces by three planes through its middle, each piece
/// at the bed's corner as it lies.
HandOff elephant_hand_off() {
  HandOff hand_off = testing::sample_hand_off();
  hand_off.wired = testing::reference_part("elephant");
  hand_off.joints.clear();
  hand_off.channels.clear();
  hand_off.assembly.clear();
  hand_off.pieces.clear();
  SeamPlan plan;
  const Vec3 middle = hand_off.wired.box().center();
  std::vector<std::pair<std::optional<SeamId>, Side>> halves{{std::nullopt, Side::above}};
  for (const Vec3 normal : {Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}}) {
    std::vector<std::pair<std::optional<SeamId>, Side>> next;
    for (const auto& [parent, side] : halves) {
      plan = apply(plan, AddSeam{parent, side, {normal, dot(normal, middle)}}).value();
      for (const Side half : {Side::above, Side::below})
        next.push_back({plan.seams.back().id, half});
    }
    halves = std::move(next);
  }
  const std::vector<CutPiece> cuts = cut_plan(hand_off.wired, plan).value();
  hand_off.seams.plan = plan;
  for (const Seam& seam : plan.seams) hand_off.seams.seam_costs.push_back({seam.id, 100, 100, 1});
  hand_off.seams.seam_costs.erase(hand_off.seams.seam_costs.begin());
  for (std::size_t i = 0; i < cuts.size(); ++i) {
    FinishedPiece piece{{cuts[i], {}, 0}, cuts[i].solid, "P" + std::to_string(i), "", {}, {}};
    piece.file = "pieces/" + piece.mark + ".stl";
    piece.planned.pose.bed_from_part.shift = Vec3{5, 5, 0} - cuts[i].solid.box().low;
    hand_off.pieces.push_back(std::move(piece));
  }
  return hand_off;
}

// DESIGN's budget: pictures and files of the elephant in 3 s on two cores.
void write_elephant(benchmark::State& state) {
  const HandOff hand_off = elephant_hand_off();
  const testing::TempFolder temp;
  for (auto _ : state) {
    if (!write_hand_off(hand_off, temp.path() / "out",
                        {.thread_count = static_cast<int>(state.range(0))}))
      state.SkipWithError("not written");
  }
}
BENCHMARK(write_elephant)
    ->Arg(1)
    ->Arg(2)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime()
    ->MeasureProcessCPUTime();

void draw_elephant(benchmark::State& state) {
  const HandOff hand_off = elephant_hand_off();
  for (auto _ : state) benchmark::DoNotOptimize(draw_pictures(hand_off, {}, {.thread_count = 1}));
}
BENCHMARK(draw_elephant)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime();

}  // namespace
}  // namespace seamwright
