#include <benchmark/benchmark.h>

#include "seamwright/pose/tilted.h"
#include "support/pieces.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

/// About 800 hull corners, longer than the room so that nothing fits before refinement.
std::vector<Vec3> egg(double length) {
  Random random(1);
  std::vector<Vec3> points;
  for (int i = 0; i < 800; ++i) {
    const Vec3 d = random.direction();
    points.push_back({d.x * length / 2, d.y * 40, d.z * 30});
  }
  return points;
}
void tilt(benchmark::State& state) {
  const std::vector<Vec3> points = egg(static_cast<double>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(tilt_to_fit(points, {180, 180, 180}));
}
BENCHMARK(tilt)->Arg(200)->Arg(260)->Arg(285)->Arg(320)->Unit(benchmark::kMicrosecond);

/// Of a solid, which is looked at harder when it misses by little.
void tilt_posed(benchmark::State& state) {
  const Solid solid = testing::convex_solid(egg(static_cast<double>(state.range(0))));
  for (auto _ : state) benchmark::DoNotOptimize(tilted_pose(solid, {180, 180, 180}));
}
BENCHMARK(tilt_posed)->Arg(285)->Arg(298)->Arg(300)->Arg(320)->Unit(benchmark::kMicrosecond);

void tilt_remembered(benchmark::State& state) {
  const std::vector<Vec3> points = egg(250);
  const Transform first = tilt_to_fit(points, {180, 180, 180}).value();
  for (auto _ : state) benchmark::DoNotOptimize(tilt_to_fit(points, {180, 180, 180}, &first));
}
BENCHMARK(tilt_remembered)->Unit(benchmark::kMicrosecond);

}  // namespace
}  // namespace seamwright
