#include "seamwright/query/sight.h"

#include <gtest/gtest.h>

#include <functional>

#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using Chooses = std::function<bool(Vec3 center, Vec3 normal)>;

/// Area-weighted mean of the faces that are chosen by centre and normal.
double mean_sight(const Solid& solid, const std::vector<double>& sight, const Chooses& is_chosen) {
  double sum = 0, area = 0;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const auto [a, b, c] = solid.corners(to_id<FaceId>(f));
    const Vec3 n = cross(b - a, c - a);
    if (!is_chosen((a + b + c) / 3, normalized(n))) continue;
    sum += sight[f] * norm(n);
    area += norm(n);
  }
  EXPECT_GT(area, 0);
  return sum / area;
}

const Solid& shell() {
  static const Solid part = testing::reference_part("shell");
  return part;
}
const Solid& panel() {
  static const Solid part = testing::reference_part("panel");
  return part;
}
const Solid& ring() {
  static const Solid part = testing::reference_part("ring");
  return part;
}

/// Half axes 320, 150, 170 mm outside, 3 mm less inside.
bool is_shell_outside(Vec3 p, Vec3 n) {
  return dot(n, {p.x / 102400, p.y / 22500, p.z / 28900}) > 0 && n.z > -0.9;
}
bool is_shell_inside(Vec3 p, Vec3 n) {
  return dot(n, {p.x / 102400, p.y / 22500, p.z / 28900}) < 0 && n.z > -0.9999;
}
bool is_shell_rim(Vec3 p, Vec3) {
  return p.z < 1e-3;
}

std::vector<double> sight_of(const Solid& part, const SightOptions& options) {
  return face_sight(part, options).value();
}

// The values of these tests: SIGHT, "Values to test".

TEST(Sight, HalfShellWithNothingBesideItSeesHalfTheSkyInside) {
  const std::vector<double> sight = sight_of(shell(), {});
  const double inside = mean_sight(
      shell(), sight, [](Vec3 p, Vec3 n) { return is_shell_inside(p, n) && !is_shell_rim(p, n); });
  EXPECT_NEAR(inside, 0.55, 0.03);
}

TEST(Sight, HalfShellWornIsDarkInsideAndLightOutside) {
  const std::vector<double> sight = sight_of(shell(), {.mode = SightMode::worn});
  const auto inside = [](Vec3 p, Vec3 n) { return is_shell_inside(p, n) && !is_shell_rim(p, n); };
  EXPECT_LE(mean_sight(shell(), sight, inside), 0.02);
  EXPECT_GE(
      mean_sight(shell(), sight,
                 [](Vec3 p, Vec3 n) { return is_shell_outside(p, n) && !is_shell_rim(p, n); }),
      0.98);
  EXPECT_GE(mean_sight(shell(), sight,
                       [](Vec3 p, Vec3 n) {
                         return is_shell_outside(p, n) && !is_shell_rim(p, n) && p.z < 20;
                       }),
            0.95);
}

TEST(Sight, HalfShellWornAslantIsStillDarkInside) {
  const auto inside = [](Vec3 p, Vec3 n) { return is_shell_inside(p, n) && !is_shell_rim(p, n); };
  for (Vec3 side : {Vec3{1, 0, -1}, Vec3{0, 1, -1}, Vec3{-1, 0, -1}}) {
    EXPECT_LE(
        mean_sight(shell(),
                   sight_of(shell(), {.mode = SightMode::worn, .worn_side = normalized(side)}),
                   inside),
        0.02);
  }
}

TEST(Sight, HalfShellAgainstAGivenBodyIsDarkInsideAndLightOutside) {
  // The shell's inner half axes are 317, 147 and 167 mm: a body with 1 mm of room all round.
  const Solid ball = testing::make_sphere(1, 5);
  TriangleSoup body;
  for (const Vec3 p : ball.points()) body.points.push_back({p.x * 316, p.y * 146, p.z * 166});
  body.triangles.assign(ball.triangles().begin(), ball.triangles().end());
  const std::vector<double> sight = sight_of(
      shell(), {.mode = SightMode::body, .body = std::make_shared<TriangleSoup>(std::move(body))});
  const auto inside = [](Vec3 p, Vec3 n) { return is_shell_inside(p, n) && !is_shell_rim(p, n); };
  const auto outside = [](Vec3 p, Vec3 n) { return is_shell_outside(p, n) && !is_shell_rim(p, n); };
  EXPECT_LE(mean_sight(shell(), sight, inside), 0.03);
  EXPECT_GE(mean_sight(shell(), sight, outside), 0.98);
}

TEST(Sight, PanelWornIsDarkOnItsBack) {
  const std::vector<double> sight = sight_of(panel(), {.mode = SightMode::worn});
  EXPECT_LE(mean_sight(panel(), sight, [](Vec3, Vec3 n) { return n.z < -0.7; }), 0.10);
  EXPECT_GE(mean_sight(panel(), sight, [](Vec3, Vec3 n) { return n.z > 0.7; }), 0.98);
  EXPECT_GE(mean_sight(panel(), sight, [](Vec3, Vec3 n) { return std::abs(n.z) < 0.7; }), 0.95);
}

TEST(Sight, PanelOnAWallShowsHalfOfItsEdges) {
  const std::vector<double> sight = sight_of(panel(), {.mode = SightMode::wall});
  EXPECT_LE(mean_sight(panel(), sight, [](Vec3, Vec3 n) { return n.z < -0.7; }), 0.03);
  EXPECT_GE(mean_sight(panel(), sight, [](Vec3, Vec3 n) { return n.z > 0.7; }), 0.96);
  // The ends stand square on the wall. The long edges lean 23° towards it (the panel is bent over
  // 400 mm); derived: a face sees (1 − n·w) / 2 of what a wall leaves.
  EXPECT_NEAR(mean_sight(panel(), sight, [](Vec3, Vec3 n) { return std::abs(n.z) < 0.2; }), 0.50,
              0.03);
  const double leaning = (1 - std::sin(160.0 / 400)) / 2;
  EXPECT_NEAR(
      mean_sight(panel(), sight,
                 [](Vec3, Vec3 n) { return n.z < -0.2 && n.z > -0.6 && std::abs(n.x) < 0.1; }),
      leaning, 0.03);
}

TEST(Sight, RingAroundAnAxisIsDarkInside) {
  const auto inside = [](Vec3 p, Vec3 n) { return dot(n, normalized({p.x, p.y, 0})) < -0.7; };
  const auto outside = [](Vec3 p, Vec3 n) { return dot(n, normalized({p.x, p.y, 0})) > 0.7; };
  const std::vector<double> around =
      sight_of(ring(), {.mode = SightMode::around, .worn_side = {0, 0, 1}});
  EXPECT_LE(mean_sight(ring(), around, inside), 0.02);
  EXPECT_GE(mean_sight(ring(), around, outside), 0.98);
  EXPECT_GE(mean_sight(ring(), around, [](Vec3, Vec3 n) { return std::abs(n.z) > 0.7; }), 0.95);
  EXPECT_NEAR(mean_sight(ring(), sight_of(ring(), {}), inside), 0.92, 0.02);
}

TEST(Sight, OfAConvexBodyIsOne) {
  const Solid ball = testing::make_sphere(50, 3);
  for (double s : sight_of(ball, {})) EXPECT_EQ(s, 1);
}

TEST(Sight, OfTheFloorOfAPitIsTheViewFactorOfItsMouth) {
  // Derived: the centre of a disc of radius R, h below a coaxial opening of the same radius, sees
  // R² / (R² + h²) of a cosine-weighted sky (view factor of parallel discs, from a point).
  const double radius = 30, depth = 40;
  const Solid pot = [&] {  // a thick tube closed below, by revolution
    const std::vector<Vec2> profile{{0, -10},        {35, -10},   {35, depth},
                                    {radius, depth}, {radius, 0}, {1, 0}};
    std::vector<Vec3> points{{0, 0, -10}, {0, 0, 0}};
    const std::size_t turns = 256, steps = profile.size() - 1;
    for (std::size_t i = 0; i < turns; ++i) {
      const double a = 2 * std::numbers::pi * static_cast<double>(i) / turns;
      for (std::size_t k = 1; k <= steps; ++k)
        points.push_back({profile[k].x * std::cos(a), profile[k].x * std::sin(a), profile[k].y});
    }
    TriangleSoup soup{points, {}, {}, {}, {}};
    const auto add = [&](std::size_t a, std::size_t b, std::size_t c) {
      soup.triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(b), to_id<VertexId>(c)});
    };
    for (std::size_t i = 0; i < turns; ++i) {
      const std::size_t p = 2 + i * steps, q = 2 + (i + 1) % turns * steps;
      add(0, q, p);
      for (std::size_t k = 0; k + 1 < steps; ++k)
        add(p + k, q + k, q + k + 1), add(p + k, q + k + 1, p + k + 1);
      add(1, p + steps - 1, q + steps - 1);
    }
    return Solid::make(soup).value();
  }();
  const std::vector<double> sight = sight_of(pot, {});
  const double floor = mean_sight(
      pot, sight, [](Vec3 p, Vec3 n) { return n.z > 0.9 && std::hypot(p.x, p.y) < 1 && p.z < 1; });
  EXPECT_NEAR(floor, radius * radius / (radius * radius + depth * depth), 0.01);
}

TEST(Sight, WithUpHalfTheWeightIsTheSkysAndHalfTheBands) {
  // An upright face over a floor. Derived: of cosine-weighted rays it sends (2/π) cos² e de to the
  // elevation e; the floor takes those under 0, viewers in −10…+30° weigh 2 / (sin 30° + sin 10°)
  // more.
  const Solid box = testing::make_box({10, 10, 10});
  const std::vector<double> sight = sight_of(box, {.mode = SightMode::wall,
                                                   .worn_side = {0, 0, -1},
                                                   .up = Vec3{0, 0, 1},
                                                   .rays_per_face = 4096});
  const auto to = [](double degrees) {
    const double e = Angle::degrees(degrees).radians();
    return (e / 2 + std::sin(2 * e) / 4) * 2 / std::numbers::pi;
  };
  const double more = 2 / (0.5 + std::sin(Angle::degrees(10).radians()));
  const double expected = (0.5 + more * to(30)) / (1 + more * (to(30) - to(-10)));
  EXPECT_NEAR(mean_sight(box, sight, [](Vec3, Vec3 n) { return n.z == 0; }), expected, 0.002);
}

TEST(Sight, WithUpAFreeFaceIsStillSeenByAll) {
  for (double s : sight_of(testing::make_box({10, 10, 10}), {.up = Vec3{0, 0, 1}}))
    EXPECT_DOUBLE_EQ(s, 1);
}

TEST(Sight, SixtyFourRaysAreWithinTheirNoise) {
  // SIGHT: mean error 0.013 at 64 rays, 95 % under 0.04; quick, smoothed, not much worse. Two seeds
  // err apart, so their difference is √2 times an error.
  const Solid part = testing::reference_part("camel");
  const std::vector<double> first = sight_of(part, {.seed = 1}),
                            second = sight_of(part, {.seed = 2});
  const auto differences = [&](const std::vector<double>& a, const std::vector<double>& b) {
    std::vector<double> all;
    for (std::size_t f = 0; f < a.size(); ++f) all.push_back(std::abs(a[f] - b[f]));
    std::sort(all.begin(), all.end());
    double mean = 0;
    for (double d : all) mean += d / static_cast<double>(all.size());
    return std::pair{mean, all[all.size() * 95 / 100]};
  };
  const auto [mean, most] = differences(first, second);
  EXPECT_LE(mean, 0.013 * std::sqrt(2.0));
  EXPECT_LE(most, 0.04 * std::sqrt(2.0));
  const std::vector<double> quick =
      sight_of(part, {.rays_per_face = 16, .is_smoothed = true, .seed = 3});
  const auto [quick_mean, quick_most] = differences(first, quick);
  EXPECT_LE(quick_mean, 0.027);
  EXPECT_LE(quick_most, 0.08);
}

TEST(Sight, IsDeterministicOnAnyThreadCount) {
  for (SightMode mode : {SightMode::none, SightMode::wall, SightMode::worn, SightMode::around}) {
    const SightOptions options{.mode = mode, .rays_per_face = 16, .is_smoothed = true};
    const auto at = [&](int threads) {
      return face_sight(ring(), options, seamwright::Run{.thread_count = threads}).value();
    };
    const std::vector<double> one = at(1);
    EXPECT_EQ(one, at(2));
    EXPECT_EQ(one, at(7));
  }
}

TEST(WornGuess, IsRightForOpenThings) {
  // SIGHT, "Values to test": half-shell and panel within 5° of the truth, ring around z.
  for (const Solid* part : {&shell(), &panel()}) {
    const WornGuess guess = guess_worn_side(*part).value();
    EXPECT_EQ(guess.mode, SightMode::worn) << guess.reason;
    EXPECT_GE(dot(guess.side, {0, 0, -1}), std::cos(Angle::degrees(5).radians())) << guess.reason;
    EXPECT_GE(guess.score_ratio, 0.33);
    EXPECT_LE(guess.score_ratio, 0.77);
  }
  const WornGuess around = guess_worn_side(ring()).value();
  EXPECT_EQ(around.mode, SightMode::around) << around.reason;
  EXPECT_EQ(std::abs(around.side.z), 1);
}

TEST(WornGuess, TurnsWithThePart) {
  const Transform turn = rotation(normalized({1, 2, 0.5}), Angle::degrees(70));
  const WornGuess guess = guess_worn_side(shell().transformed(turn)).value();
  EXPECT_EQ(guess.mode, SightMode::worn) << guess.reason;
  EXPECT_GE(dot(guess.side, turn.rotate({0, 0, -1})), std::cos(Angle::degrees(15).radians()))
      << guess.reason;
}

TEST(WornGuess, SaysNothingOfBodies) {
  for (const char* name : {"armadillo", "elephant", "camel"}) {
    const WornGuess guess = guess_worn_side(testing::reference_part(name)).value();
    EXPECT_EQ(guess.mode, SightMode::none) << name << ": " << guess.reason;
    EXPECT_LE(guess.score_ratio, 0.03) << name;
  }
}

TEST(WornGuess, IsTheSameOnAnyThreadCount) {
  const auto at = [&](int threads) {
    return guess_worn_side(ring(), seamwright::Run{.thread_count = threads}).value();
  };
  const WornGuess one = at(1), two = at(2), seven = at(7);
  EXPECT_EQ(one.score_ratio, two.score_ratio);
  EXPECT_EQ(one.score_ratio, seven.score_ratio);
  EXPECT_EQ(one.side, seven.side);
  EXPECT_EQ(one.reason, seven.reason);
}

TEST(Sight, StopsWhenTold) {
  const std::atomic<Cancel> stop{Cancel::stop};
  const auto sight = face_sight(ring(), {}, seamwright::Run{.cancel = &stop});
  ASSERT_FALSE(sight);
  EXPECT_EQ(sight.error().code, "cancelled");
}

}  // namespace
}  // namespace seamwright
