#include <benchmark/benchmark.h>

#include "seamwright/pose/quick_estimate.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

void quick(benchmark::State& state) {
  const Solid ball = testing::make_sphere(80, static_cast<int>(state.range(0)));
  Pose pose;
  pose.bed_from_part.shift = {80, 80, 80};
  for (auto _ : state) benchmark::DoNotOptimize(quick_estimate(ball, pose, {}, {}, {}));
  state.counters["faces"] = static_cast<double>(ball.face_count());
}
BENCHMARK(quick)->Arg(2)->Arg(3)->Arg(4)->Arg(6)->Unit(benchmark::kMicrosecond);

// A change of speeds, on stored layers. Goal: a millisecond.
void retime(benchmark::State& state) {
  const Solid ball = testing::make_sphere(80, 6);
  Pose pose;
  pose.bed_from_part.shift = {80, 80, 80};
  const QuickLayers layers(ball, pose, {});
  for (auto _ : state) benchmark::DoNotOptimize(layers.timed({}, {}, {}));
}
BENCHMARK(retime)->Unit(benchmark::kMicrosecond);

}  // namespace
}  // namespace seamwright
