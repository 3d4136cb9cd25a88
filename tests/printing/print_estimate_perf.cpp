#include <benchmark/benchmark.h>

#include <algorithm>
#include <chrono>
#include <numeric>

#include "seamwright/cut/plane_cut.h"
#include "seamwright/pose/quick_estimate.h"
#include "seamwright/printing/print_estimate.h"
#include "support/shapes.h"
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

// A piece of 356 k faces that fills a room of 180. Goal: 3 s on two cores.
void estimate_fine_piece(benchmark::State& state) {
  const Solid piece = testing::subdivide(on_bed("elephant", 180), 1);
  for (auto _ : state)
    benchmark::DoNotOptimize(estimate_print(piece, {}, {}, {}, {}).value().print_s);
  state.counters["faces"] = static_cast<double>(piece.face_count());
}
BENCHMARK(estimate_fine_piece)
    ->Unit(benchmark::kMillisecond)
    ->Iterations(1)
    ->MeasureProcessCPUTime()
    ->UseRealTime();

/// A reference part halved across its longest side until all fits a room of 180.
std::vector<Solid> pieces_of(const char* part) {
  std::vector<Solid> open{testing::reference_part(part)}, done;
  while (!open.empty()) {
    const Solid solid = std::move(open.back());
    open.pop_back();
    const Vec3 size = solid.box().size();
    const double longest_mm = std::max({size.x, size.y, size.z});
    if (longest_mm <= 180) {
      done.push_back(solid);
      continue;
    }
    const std::size_t axis = size.x == longest_mm ? 0 : size.y == longest_mm ? 1 : 2;
    Plane plane{{}, solid.box().center()[axis]};
    plane.normal = {axis == 0 ? 1.0 : 0.0, axis == 1 ? 1.0 : 0.0, axis == 2 ? 1.0 : 0.0};
    CutHalves halves = plane_cut(solid, plane, SeamId{0}).value();
    for (std::optional<Solid>* half : {&halves.above, &halves.below}) {
      if (!half->has_value()) continue;
      for (Solid& piece : split_components(**half)) open.push_back(std::move(piece));
    }
  }
  return done;
}

// All pieces of a plan on all cores. Goal: 10 s on two cores.
void estimate_plan(benchmark::State& state) {
  const std::vector<Solid> pieces = pieces_of("elephant");
  double layer_count = 0, print_s = 0;
  for (auto _ : state) {
    layer_count = print_s = 0;
    for (const Solid& piece : pieces) {
      const Transform down{Transform{}.rows, -piece.box().low};
      const PrintEstimate e = estimate_print(piece, down, {}, {}, {}).value();
      layer_count += static_cast<double>(e.layer_count);
      print_s += e.print_s;
    }
  }
  state.counters["pieces"] = static_cast<double>(pieces.size());
  state.counters["layers"] = layer_count;
  state.counters["print_h"] = print_s / 3600;
}
BENCHMARK(estimate_plan)
    ->Unit(benchmark::kMillisecond)
    ->Iterations(1)
    ->MeasureProcessCPUTime()
    ->UseRealTime();

// The quick estimate of each piece of a plan. Goal: 20 ms a piece.
void quick_plan(benchmark::State& state, const char* part) {
  const std::vector<Solid> pieces = pieces_of(part);
  std::vector<double> least_ms(pieces.size(), 1e9);
  double face_count = 0;
  for (const Solid& piece : pieces) face_count += static_cast<double>(piece.face_count());
  for (auto _ : state) {
    for (std::size_t i = 0; i < pieces.size(); ++i) {
      Pose pose;
      pose.bed_from_part.shift = -pieces[i].box().low;
      const auto begin = std::chrono::steady_clock::now();
      benchmark::DoNotOptimize(quick_estimate(pieces[i], pose, {}, {}, {}));
      const std::chrono::duration<double, std::milli> took =
          std::chrono::steady_clock::now() - begin;
      least_ms[i] = std::min(least_ms[i], took.count());
    }
  }
  const auto count = static_cast<double>(pieces.size());
  state.counters["pieces"] = count;
  state.counters["faces_a_piece"] = face_count / count;
  state.counters["mean_ms"] = std::accumulate(least_ms.begin(), least_ms.end(), 0.0) / count;
  state.counters["worst_ms"] = *std::max_element(least_ms.begin(), least_ms.end());
}
BENCHMARK_CAPTURE(quick_plan, elephant, "elephant")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(quick_plan, shell, "shell")->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(quick_plan, panel, "panel")->Unit(benchmark::kMillisecond);

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
