// What leading takes: a ridge on three bodies, a way through two, fourteen tools into a shell.
#include <benchmark/benchmark.h>

#include <chrono>

#include "seamwright/query/ray_tree.h"
#include "seamwright/wiring/wire_part.h"
#include "wiring/body_field.h"
#include "wiring/wired_bodies.h"

namespace seamwright {
namespace {

double seconds_of(const auto& work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// One ridge with its tunnel into a part, way, booleans and tests: 40 random pairs, at most 1 s
/// each.
void ridge_between_random_pairs(benchmark::State& state, const char* name) {
  const testing::WiredBody body(name);
  double most_s = 0;
  int pair = 0;
  for (auto _ : state) {
    const auto [from, to] = body.random_pair(pair++ % 40);
    const double used_s = seconds_of([&] {
      benchmark::DoNotOptimize(wire_part(body.solid,
                                         {.wires = {{.name = "ridge",
                                                     .from = from,
                                                     .to = to,
                                                     .kind = WireKind::rib,
                                                     .diameter_mm = 5}}},
                                         body.sight));
    });
    most_s = std::max(most_s, used_s);
  }
  state.counters["most_s"] = most_s;
}
BENCHMARK_CAPTURE(ridge_between_random_pairs, shell, "shell")
    ->Iterations(40)
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(ridge_between_random_pairs, elephant, "elephant")
    ->Iterations(40)
    ->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(ridge_between_random_pairs, armadillo, "armadillo")
    ->Iterations(40)
    ->Unit(benchmark::kMillisecond);

/// The distance field at 2 mm and one way through it between two extremes: at most 2 s.
void field_and_route(benchmark::State& state, const char* name) {
  using namespace wiring_detail;
  const testing::WiredBody body(name);
  const std::vector<Vec3> tips = body.extremes();
  const RayTree tree(body.solid);
  for (auto _ : state) {
    const BodyField field(body.solid, tree);
    const std::vector<Vec3> ends{tips[0], tips[1]};
    benchmark::DoNotOptimize(field.lead(ends, {}, {.clear_mm = 3.2}));
    state.counters["step_mm"] = field.step_mm();
  }
}
BENCHMARK_CAPTURE(field_and_route, elephant, "elephant")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(field_and_route, armadillo, "armadillo")->Unit(benchmark::kMillisecond);

/// Seven pockets, each a boss added and a seat taken, into the 3 mm shell: at most 2 s.
void fourteen_tools_on_the_shell(benchmark::State& state) {
  const testing::WiredBody body("shell");
  WiringSpec spec;
  for (int i = 0; i < 7; ++i) {
    spec.pockets.push_back({.name = "lamp " + std::to_string(i),
                            .at = {-180 + 60.0 * i, i % 2 ? 40.0 : -40.0, 400},
                            .direction = Vec3{0, 0, -1}});
  }
  for (auto _ : state) {
    const Result<WiredPart> wired = wire_part(body.solid, spec, body.sight);
    if (!wired) return state.SkipWithError(wired.error().message.c_str());
  }
}
BENCHMARK(fourteen_tools_on_the_shell)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace seamwright
