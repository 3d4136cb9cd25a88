#include <benchmark/benchmark.h>

#include "seamwright/printing/print_estimate.h"
#include "support/stl.h"

namespace seamwright {
namespace {

/// A reference part moved onto the bed, scaled so that its longest side is `longest_mm`.
Solid on_bed(const std::string& name, double longest_mm) {
  const Solid part = testing::reference_part(name);
  const Vec3 size = part.box().size();
  const double scale = longest_mm / std::max({size.x, size.y, size.z});
  std::vector<Vec3> points;
  for (const Vec3 p : part.points()) points.push_back((p - part.box().low) * scale);
  return Solid::adopt(std::move(points), {part.triangles().begin(), part.triangles().end()},
                      {part.origins().begin(), part.origins().end()});
}

// Each of the figures a layer: one thread lays and times a whole piece.
void estimate_piece(benchmark::State& state, const char* name) {
  const Solid piece = on_bed(name, 180);
  double layer_count = 0;
  for (auto _ : state) {
    const PrintEstimate e = estimate_print(piece, {}, {}, {}, {}, seamwright::Run{1}).value();
    layer_count = static_cast<double>(e.layer_count);
    benchmark::DoNotOptimize(e);
  }
  state.counters["layers"] = layer_count;
  state.counters["ms_per_layer"] =
      benchmark::Counter(layer_count / 1000, benchmark::Counter::kIsIterationInvariantRate |
                                                 benchmark::Counter::kInvert);
}
BENCHMARK_CAPTURE(estimate_piece, elephant, "elephant")
    ->Unit(benchmark::kMillisecond)
    ->Iterations(1);
BENCHMARK_CAPTURE(estimate_piece, armadillo, "armadillo")
    ->Unit(benchmark::kMillisecond)
    ->Iterations(1);
BENCHMARK_CAPTURE(estimate_piece, shell, "shell")->Unit(benchmark::kMillisecond)->Iterations(1);
BENCHMARK_CAPTURE(estimate_piece, panel, "panel")->Unit(benchmark::kMillisecond)->Iterations(1);

// Stored lines timed for other speeds.
void retime_piece(benchmark::State& state) {
  const Solid piece = on_bed("elephant", 180);
  const LaidPiece laid = lay_lines(piece, {}, {}).value();
  PrintSettings print;
  print.nominal_mm_per_s = 80;
  for (auto _ : state) {
    benchmark::DoNotOptimize(time_lines(laid, {}, {}, print, seamwright::Run{1}).value());
  }
}
BENCHMARK(retime_piece)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace seamwright
