#include <benchmark/benchmark.h>

#include <array>

#include "seamwright/pose/pose_probe.h"
#include "seamwright/pose/standing.h"
#include "support/pieces.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

constexpr std::array<Vec3, 1> kRoom{{{180, 180, 180}}};

/// A bumpy ball cut flat below: `rounds` 3 has 642 points, 4 has 2562.
Solid bumpy_piece(int rounds) {
  const Solid ball = testing::make_sphere(80, rounds);
  std::vector<Vec3> points;
  for (const Vec3 p : ball.points()) {
    const Vec3 bumped = p * (0.9 + 0.1 * std::sin(p.x / 9) * std::cos(p.y / 7));
    points.push_back({bumped.x, bumped.y, std::max(bumped.z, -40.0)});
  }
  const Solid flat =
      Solid::adopt(std::move(points), {ball.triangles().begin(), ball.triangles().end()},
                   {ball.origins().begin(), ball.origins().end()});
  return testing::with_cap(flat, {0, 0, -1}, SeamId{1});
}

void joint_face_pose(benchmark::State& state, Foot last, Vec3 room) {
  const Solid piece = bumpy_piece(static_cast<int>(state.range(0)));
  for (auto _ : state) benchmark::DoNotOptimize(best_standing_pose(piece, std::array{room}, last));
  state.counters["points"] = static_cast<double>(piece.points().size());
}
void fits_on_joint_face(benchmark::State& state) {
  joint_face_pose(state, Foot::joint_face, kRoom[0]);
}
void misfit_of_joint_faces(benchmark::State& state) {
  joint_face_pose(state, Foot::joint_face, {99, 99, 99});
}
void misfit_of_flat_sides(benchmark::State& state) {
  joint_face_pose(state, Foot::flat_side, {99, 99, 99});
}
void misfit_with_supports(benchmark::State& state) {
  joint_face_pose(state, Foot::supports, {99, 99, 99});
}
BENCHMARK(fits_on_joint_face)->Arg(2)->Arg(3)->Arg(4)->Unit(benchmark::kMicrosecond);
BENCHMARK(misfit_of_joint_faces)->Arg(2)->Arg(3)->Arg(4)->Unit(benchmark::kMicrosecond);
BENCHMARK(misfit_of_flat_sides)->Arg(2)->Arg(3)->Arg(4)->Unit(benchmark::kMicrosecond);
BENCHMARK(misfit_with_supports)->Arg(2)->Arg(3)->Arg(4)->Unit(benchmark::kMicrosecond);

/// One more foot of a solid that is known already.
void another_room(benchmark::State& state) {
  const Solid piece = bumpy_piece(static_cast<int>(state.range(0)));
  PoseProbe probe(piece);
  for (auto _ : state) benchmark::DoNotOptimize(probe.best(kRoom, Foot::joint_face));
}
BENCHMARK(another_room)->Arg(2)->Arg(3)->Arg(4)->Unit(benchmark::kMicrosecond);

void turn_of_an_outline(benchmark::State& state) {
  Random random(1);
  std::vector<Vec2> points;
  for (int i = 0; i < state.range(0); ++i) {
    const double t = random.uniform(0, 2 * std::numbers::pi);
    points.push_back({100 * std::cos(t), 70 * std::sin(t)});
  }
  const std::vector<Vec2> outline = convex_hull(points);
  for (auto _ : state) benchmark::DoNotOptimize(turn_to_fit(outline, 180, 150));
}
BENCHMARK(turn_of_an_outline)->Arg(10)->Arg(40)->Arg(160)->Unit(benchmark::kMicrosecond);

}  // namespace
}  // namespace seamwright
