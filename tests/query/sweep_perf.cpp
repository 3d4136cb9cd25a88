#include <benchmark/benchmark.h>

#include "seamwright/query/section.h"
#include "seamwright/query/sweep.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

std::vector<double> offsets_of(const Solid& part) {
  std::vector<double> offsets;
  for (int i = 0; i < 1415; ++i)
    offsets.push_back(part.box().low.z + part.box().size().z * (i + 0.5) / 1415);
  return offsets;
}

/// 1,415 offsets of one direction on 356 k faces: at most 8.5 ms with one thread, 5 ms with two.
void sweep_elephant(benchmark::State& state) {
  const Solid part = testing::subdivide(testing::reference_part("elephant"), 1);
  const std::vector<double> sight(part.face_count(), 0.5), offsets = offsets_of(part);
  const Sweeper sweeper(part, sight);
  const Run run{.thread_count = static_cast<int>(state.range(0))};
  for (auto _ : state) benchmark::DoNotOptimize(sweeper.sweep({0, 0, 1}, offsets, run));
  state.counters["faces"] = static_cast<double>(part.face_count());
}
BENCHMARK(sweep_elephant)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->UseRealTime();

/// The same by one section a plane, for the ratio; 20 planes.
void section_elephant(benchmark::State& state) {
  const Solid part = testing::subdivide(testing::reference_part("elephant"), 1);
  std::vector<double> offsets = offsets_of(part);
  for (auto _ : state) {
    for (std::size_t i = 0; i < 20; ++i)
      benchmark::DoNotOptimize(section(part, {{0, 0, 1}, offsets[70 * i]}));
  }
}
BENCHMARK(section_elephant)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace seamwright
