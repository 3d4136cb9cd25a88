#include <benchmark/benchmark.h>

#include "seamwright/query/sight.h"
#include "seamwright/seams/plan_seams.h"
#include "support/stl.h"

namespace seamwright {
namespace {

// SEAMS' table: standing, weights "table", plain sight, no margin. The counters are its columns;
// compare user CPU time, since wall time depends on who else uses the machine.
void plan(benchmark::State& state, const std::string& name, Vec3 room, Effort effort,
          std::uint64_t seed) {
  const Solid part = testing::reference_part(name);
  const std::vector<double> sight = face_sight(part).value();
  PlanOptions options;
  options.printers[0].room_mm = room;
  options.printers[0].margin_mm = options.printers[0].top_margin_mm = 0;
  options.cost = *preset_weights("table");
  options.effort = effort;
  options.seed = seed;
  for (auto _ : state) {
    const Result<PlannedSeams> planned = plan_seams(part, sight, options);
    if (!planned) return state.SkipWithError(planned.error().message.c_str());
    state.counters["pieces"] = static_cast<double>(planned->pieces.size());
    state.counters["J"] = planned->maker_h;
    state.counters["bound"] = static_cast<double>(planned->piece_lower_bound);
  }
}

const bool registered = [] {
  const std::pair<const char*, Vec3> rooms[] = {{"A", {180, 180, 180}}, {"B", {220, 220, 250}}};
  const std::pair<const char*, Effort> efforts[] = {{"quick", Effort::quick},
                                                    {"normal", Effort::normal}};
  for (const char* part :
       {"rod", "bracket", "panel", "ring", "shell", "armadillo", "elephant", "camel"}) {
    for (const auto& [room_name, room] : rooms) {
      for (const auto& [effort_name, effort] : efforts) {
        for (const std::uint64_t seed : {1, 2, 3}) {
          const std::string name = std::string("plan/") + part + "/" + room_name + "/" +
                                   effort_name + "/seed:" + std::to_string(seed);
          benchmark::RegisterBenchmark(name.c_str(), plan, part, room, effort, seed)
              ->Iterations(1)
              ->Unit(benchmark::kSecond)
              ->MeasureProcessCPUTime();
        }
      }
    }
  }
  return true;
}();

}  // namespace
}  // namespace seamwright
