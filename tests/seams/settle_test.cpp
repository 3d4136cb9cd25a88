#include "seams/settle.h"

#include <gtest/gtest.h>

#include <numbers>

#include "seams/far_points.h"
#include "seams/plan_slopes.h"
#include "seams/room_touch.h"
#include "search_bench.h"

namespace seamwright::search {
namespace {

/// A bar 500 mm long, 120 mm square at its left end, where x is 0, and 150 at its right.
Solid tapered_bar() {
  const Solid box = testing::subdivide(testing::make_box({500, 150, 150}), 2);
  const Vec3 low = box.box().low, middle = box.box().center();
  TriangleSoup soup;
  for (const Vec3 p : box.points()) {
    const double wide = 0.8 + 0.2 * (p.x - low.x) / 500;
    soup.points.push_back({p.x - low.x, (p.y - middle.y) * wide, (p.z - middle.z) * wide});
  }
  soup.triangles.assign(box.triangles().begin(), box.triangles().end());
  return Solid::make(std::move(soup)).value();
}

double around_h(const Bench& bench, double x) {
  return 4 * (12 + 3 * x / 500) * bench.prices.cost.shown_h_per_cm;
}

TEST(Settle, SeamsGoToTheThinEndAsFarAsRoomsLetThem) {
  // Closed form: pieces of 180 at most, so the seams end at 320 and 140.
  Bench bench(tapered_bar());
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const PlanPtr plan = slices(pricer, bench.body, std::array{180.0, 360.0});
  ASSERT_EQ(plan->misfits, 0U);
  const PlanPtr settled = settle(plan, pricer, 1e9, {});
  EXPECT_EQ(settled->misfits, 0U);
  EXPECT_EQ(settled->pieces, 3U);
  const double least_h =
      3 * bench.prices.cost.piece_h + around_h(bench, 140) + around_h(bench, 320);
  EXPECT_NEAR(settled->total_h, least_h, 1e-3);
  EXPECT_GT(plan->total_h, settled->total_h + 0.03);
}

TEST(Settle, ASeamGoesSquarelyAroundTheWaist) {
  // Closed form: from 2 mm and 2° off, back to the shortest way around, 4 × 90 mm.
  const Solid box = testing::subdivide(testing::make_box({300, 150, 150}), 2);
  const Vec3 middle = box.box().center();
  TriangleSoup soup;
  for (const Vec3 p : box.points()) {
    const Vec3 q = p - middle;
    const double narrowed = 0.6 + 0.4 * std::abs(q.x) / 150;
    soup.points.push_back({q.x, q.y * narrowed, q.z * narrowed});
  }
  soup.triangles.assign(box.triangles().begin(), box.triangles().end());
  Bench bench(Solid::make(std::move(soup)).value());
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const Vec3 askew = rotation({0, 0, 1}, Angle::degrees(2)).rotate({1, 0, 0});
  const PlanPtr plan = pricer.split(bench.body, {askew, 2});
  ASSERT_EQ(plan->misfits, 0U);
  const CostWeights& cost = bench.prices.cost;
  const double least_h = 2 * cost.piece_h + 4 * 9 * cost.shown_h_per_cm;
  EXPECT_GT(plan->total_h, least_h + 0.005);
  EXPECT_NEAR(settle(plan, pricer, 1e9, {})->total_h, least_h, 0.0005);
}

TEST(Settle, ALockedSeamStaysAndAPlanThatMisfitsIsLeftAlone) {
  Bench bench(tapered_bar());
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const PlanPtr free = slices(pricer, bench.body, std::array{180.0, 360.0});
  const PlanPtr locked =
      PlanPricer::join(free->body, free->plane, true, free->own_h, free->above, free->below);
  const PlanPtr settled = settle(locked, pricer, 1e9, {});
  EXPECT_EQ(settled->plane, free->plane);
  EXPECT_LT(settled->total_h, locked->total_h);  // the other one moved
  const PlanPtr large = slices(pricer, bench.body, std::array{190.0, 360.0});
  ASSERT_GT(large->misfits, 0U);
  EXPECT_EQ(settle(large, pricer, 1e9, {}), large);
}

TEST(SettleToFit, WhatSticksOutIsPassedOnThroughAllPieces) {
  // 880 long in five of 180 at most: 190, three of 178 and 156. The three have 2 mm to spare each,
  // so what the first has too much goes through all of them to the last.
  const Solid bar = testing::subdivide(testing::make_box({880, 150, 150}), 2);
  Bench bench(bar);
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const double left = bar.box().low.x;
  const PlanPtr plan =
      slices(pricer, bench.body, std::array{left + 190, left + 368, left + 546, left + 724});
  ASSERT_EQ(plan->misfits, 1U);
  const double before = pricer.work();
  const PlanPtr fitting = settle_to_fit(plan, pricer, {});
  EXPECT_EQ(fitting->misfits, 0U);
  EXPECT_EQ(fitting->pieces, 5U);
  EXPECT_GT(pricer.work(), before);
  EXPECT_EQ(pricer.replay(fitting->body, *fitting)->misfits, 0U);
}

TEST(SettleToFit, WhatIsTooLargeBothWaysIsSharedAndGivenUp) {
  // 500 long in two of 180 at most: as little as can stick out is 70 of each.
  Bench bench(bar());
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const PlanPtr plan = slices(pricer, bench.body, std::array{bar().box().low.x + 200});
  ASSERT_EQ(plan->misfits, 2U);
  const PlanPtr shared = settle_to_fit(plan, pricer, {});
  EXPECT_EQ(shared->misfits, 2U);
  EXPECT_EQ(shared->pieces, 2U);
}

TEST(SettleToFit, ALockedSeamStays) {
  Bench bench(bar());
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const double left = bar().box().low.x;
  const PlanPtr free = slices(pricer, bench.body, std::array{left + 190, left + 365});
  ASSERT_EQ(free->misfits, 1U);
  const PlanPtr locked =
      PlanPricer::join(free->body, free->plane, true, free->own_h, free->above, free->below);
  const PlanPtr settled = settle_to_fit(locked, pricer, {});
  EXPECT_EQ(settled->plane, free->plane);
  EXPECT_EQ(settled->misfits, 1U);
}

/// A ball of 130 mm radius, cut askew three times, its pieces lying any way they fit.
struct CutBall {
  Bench bench{testing::make_sphere(130, 3)};
  PlanPricer pricer{bench.mesh, bench.prices, bench.rules};
  PlanPtr plan;
  CutBall() {
    bench.rules.rooms_mm = {{300, 265, 150}};
    bench.rules.poses = Poses::tilted;
    plan = pricer.split(bench.body, {normalized({1, 0.3, 0.2}), 5});
    const auto cut = [&](const PlanPtr& half, Vec3 normal) {
      return pricer.split(half->body, {normalized(normal), 8});
    };
    plan = PlanPricer::join(plan->body, plan->plane, false, plan->own_h,
                            cut(plan->above, {0.1, 1, 0.2}), cut(plan->below, {-0.2, 0.3, 1}));
  }
};

TEST(Settle, FitsCostsLessAndIsTheSameEachTime) {
  CutBall ball;
  ASSERT_EQ(ball.plan->misfits, 0U);
  const PlanPtr once = settle(ball.plan, ball.pricer, 1e9, {});
  const PlanPtr again = settle(ball.plan, ball.pricer, 1e9, {});
  EXPECT_EQ(once->misfits, 0U);
  EXPECT_LT(once->total_h, ball.plan->total_h - 0.01);
  EXPECT_EQ(*once->body, *again->body);
  EXPECT_EQ(to_seam_plan(*once).seams.front().plane, to_seam_plan(*again).seams.front().plane);
  EXPECT_EQ(once->total_h, again->total_h);
}

TEST(PlanSlopes, OfATaperedBarIsWhatItsWidthGainsPerMillimetre) {
  // Closed form: 4 × 30 mm more around in 500 mm.
  Bench bench(tapered_bar());
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const PlanPtr plan = slices(pricer, bench.body, std::array{180.0, 360.0});
  const std::vector<Hinge> hinges = hinges_of(*plan);
  const PlanSlopes slopes = plan_slopes(*plan, hinges, pricer);
  const double per_mm = 4 * 3.0 / 500 * bench.prices.cost.shown_h_per_cm;
  ASSERT_EQ(slopes.hours.size(), 6U);
  const double forward = dot(hinges[0].plane.normal, Vec3{1, 0, 0});
  for (const std::size_t shift : {0, 3}) {
    for (const double slope : slopes.hours[shift]) EXPECT_NEAR(slope, forward * per_mm, 1e-6);
  }
}

TEST(PlanSlopes, TellWhatAStandingPieceLosesOfItsFooting) {
  // Closed form: a slice's tip angle, about the edge of its foot, is atan(half width over half
  // height). A bar 20 mm square and 175 high has 6.5°, where 6° are asked for.
  const Solid bar = testing::subdivide(testing::make_box({350, 20, 20}), 2);
  Bench bench(bar);
  bench.rules.standing.least_tip = Angle::degrees(6);
  bench.rules.standing.most_slender_ratio = 100;
  bench.rules.standing.least_contact_mm2 = 10;
  bench.rules.rooms_mm = {{30, 30, 180}};
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const PlanPtr plan = pricer.split(bench.body, {{1, 0, 0}, bar.box().center().x});
  ASSERT_EQ(plan->misfits, 0U);
  const std::vector<Hinge> hinges = hinges_of(*plan);
  const PlanSlopes slopes = plan_slopes(*plan, hinges, pricer);
  const auto tip_deg = [](double high) {
    return std::atan2(10, high / 2) * 180 / std::numbers::pi;
  };
  const double spare = tip_deg(175) / 6 - 1;
  const double lost = (spare - tip_deg(175.25) / 6 + 1) / 0.25;  // by growing, per mm
  const double won = (tip_deg(174.75) / 6 - 1 - spare) / 0.25;
  ASSERT_EQ(slopes.rules.size(), 2U);
  for (const RuleSlope& rule : slopes.rules) {
    EXPECT_NEAR(rule.spare, std::min(0.1, spare), 1e-9);
    const auto [backward, forward] = rule.by_move.at(0);
    EXPECT_NEAR(std::min(std::abs(backward), std::abs(forward)), lost, 1e-6);
    EXPECT_NEAR(std::max(std::abs(backward), std::abs(forward)), won, 1e-6);
  }
}

constexpr double kMove_mm = 1e-3;

/// The ball's first piece, cut anew with one of the two seams above it moved a little.
std::shared_ptr<const ClipBody> first_piece_after(const CutBall& ball, std::size_t move) {
  const std::vector<Hinge> hinges = hinges_of(*ball.plan);
  HingeMoves by{};
  by[move % 3] = kMove_mm;
  const Plane first = move < 3 ? hinges[0].moved(by) : hinges[0].plane;
  const Plane second = move < 3 ? hinges[1].plane : hinges[1].moved(by);
  return clip(*clip(*ball.bench.body, first).above, second).above;
}

/// Where a touch point is told to go by that move.
Vec3 told_after(const TouchPoint& touch, const std::vector<Hinge>& hinges, std::size_t move) {
  Vec3 at = touch.at;
  for (std::size_t i = 0; i < touch.hinges.size(); ++i) {
    const Hinge& hinge = hinges[touch.hinges[i]];
    if (touch.hinges[i] == move / 3)
      at += touch.ways[i] * (hinge.advance(touch.at)[move % 3] * kMove_mm);
  }
  return at;
}

TEST(RoomTouch, ReachesAreAsTheSeamsMove) {
  // Against the pieces cut anew: what each touch point says of a seam that moved.
  CutBall ball;
  const std::vector<Hinge> hinges = hinges_of(*ball.plan);
  ASSERT_EQ(hinges.size(), 3U);
  const PlanNode& leaf = *ball.plan->above->above;
  const std::array<std::size_t, 2> above{0, 1};
  const auto piece = piece_shapes(*leaf.body, ball.bench.mesh).front();
  const auto lies = place_in_room(piece, leaf.poses[0], ball.bench.rules, hinges, above);
  ASSERT_TRUE(lies);
  for (std::size_t move = 0; move < 6; ++move) {
    const auto body = first_piece_after(ball, move);
    for (std::size_t k = 0; k < 3; ++k) {
      for (const std::size_t side : {0, 1}) {
        const Vec3 out = side == 0 ? -lies->axes[k] : lies->axes[k];
        double actual = -1e9, told = -1e9;
        for (const Vec3 p : body->points) actual = std::max(actual, dot(out, p));
        for (const TouchPoint& touch : lies->touches[k][side]) {
          told = std::max(told, dot(out, told_after(touch, hinges, move)));
        }
        EXPECT_NEAR(told, actual, 0.01 * kMove_mm) << "move " << move << " axis " << k;
      }
    }
  }
}

TEST(RoomTouch, AFacetOfTheHullTurnsAsItsCornersMove) {
  // Against the hull facet of the piece cut anew.
  CutBall ball;
  ball.bench.rules.poses = Poses::standing;
  const std::vector<Hinge> hinges = hinges_of(*ball.plan);
  const PlanNode& leaf = *ball.plan->above->above;
  const std::array<std::size_t, 2> above{0, 1};
  const auto piece = piece_shapes(*leaf.body, ball.bench.mesh).front();
  // Towards the edge between its two joint faces, where corners lie on both and on each.
  const Vec3 way = normalized(-hinges[0].plane.normal - hinges[1].plane.normal * 0.4);
  const Vec3 down = hull_facet_near(piece.points, way).value();
  const EarlierPose pose{Foot::supports, down, any_perpendicular(down)};
  const auto lies = place_in_room(piece, pose, ball.bench.rules, hinges, above);
  ASSERT_TRUE(lies);
  ASSERT_EQ(lies->rests_on.size(), 3U);
  double most_turned = 0;
  for (std::size_t move = 0; move < 6; ++move) {
    const auto body = first_piece_after(ball, move);
    std::array<Vec3, 3> corners;
    for (std::size_t c = 0; c < 3; ++c) corners[c] = told_after(lies->rests_on[c], hinges, move);
    Vec3 told = normalized(cross(corners[1] - corners[0], corners[2] - corners[0]));
    if (dot(told, down) < 0) told = -told;
    const Vec3 actual = hull_facet_near(body->points, told).value();
    EXPECT_LE(norm(told - actual), 0.02 * norm(actual - down) + 1e-9) << move;
    most_turned = std::max(most_turned, norm(actual - down));
  }
  EXPECT_GT(most_turned, 1e-6);
}

}  // namespace
}  // namespace seamwright::search
