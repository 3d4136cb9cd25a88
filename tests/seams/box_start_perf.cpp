#include <benchmark/benchmark.h>

#include "seams/box_start.h"
#include "seams/directions.h"
#include "seamwright/query/simplify.h"
#include "search_bench.h"
#include "support/stl.h"

namespace seamwright::search {
namespace {

// One grid along the part's axes on a stand-in of 2,000 faces, up to a million boxes; all shown.
void lay_grid(benchmark::State& state, const char* name) {
  const Bench bench(simplify(testing::reference_part(name), 2000));
  for (auto _ : state) {
    PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
    Random random(1);
    const PlanPtr plan = box_start(bench.body, {kPartAxes}, pricer, random);
    state.counters["hours"] = plan->total_h;
    state.counters["misfits"] = plan->misfits;
  }
}

BENCHMARK_CAPTURE(lay_grid, panel, "panel")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(lay_grid, shell, "shell")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(lay_grid, elephant, "elephant")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(lay_grid, camel, "camel")->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace seamwright::search
