#include "seams/nudge.h"

#include <gtest/gtest.h>

#include "search_bench.h"

namespace seamwright::search {
namespace {

double left_end() {
  return bar().box().low.x;
}

TEST(Nudge, WhatSticksOutIsPassedOnToThePieceWithRoomToSpare) {
  // 500 long in three of 180 at most: 190, 175 and 135. The middle one has next to no room, so what
  // the first has too much goes through it to the last.
  Bench bench(bar());
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const PlanPtr plan = slices(pricer, bench.body, std::array{left_end() + 190, left_end() + 365});
  ASSERT_EQ(plan->misfits, 1U);
  Random random(1, 1);
  const PlanPtr fitting = nudge_to_fit(plan, pricer, random, 1e7, {});
  EXPECT_EQ(fitting->misfits, 0U);
  EXPECT_EQ(fitting->pieces, 3U);
}

TEST(Nudge, APlanThatCannotFitIsGivenUp) {
  Bench bench(bar());
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const PlanPtr plan = slices(pricer, bench.body, std::array{left_end() + 250});
  ASSERT_EQ(plan->misfits, 2U);
  Random random(1, 1);
  const double before = pricer.work();
  const PlanPtr nudged = nudge_to_fit(plan, pricer, random, 1e5, {});
  EXPECT_GT(nudged->misfits, 0U);
  EXPECT_EQ(nudged->pieces, plan->pieces);
  EXPECT_GT(pricer.work(), before + 1e5);
}

/// A ball cut 0.4 mm under its top: a crumb of next to no volume falls off.
struct GrazedBall {
  Bench bench{testing::make_sphere(120, 4)};
  PlanPricer pricer{bench.mesh, bench.prices, bench.rules};
  PlanPtr plan;
  Random random{1, 1};
  GrazedBall() {
    bench.rules.rooms_mm = {{250, 250, 250}};
    Box3 box;
    for (const Vec3 p : bench.mesh.points) box.extend(p);
    plan = slices(pricer, bench.body, std::array{box.high.x - 0.4});
  }
};

TEST(Nudge, ASeamThatGrazesABumpIsMovedOffIt) {
  GrazedBall ball;
  ASSERT_EQ(ball.plan->slivers, 1U);
  const PlanPtr whole = nudge_off_crumbs(ball.plan, 0, ball.pricer, ball.random);
  EXPECT_EQ(whole->slivers, 0U);
  EXPECT_LT(whole->total_h, ball.plan->total_h - 1);
}

TEST(Nudge, ALockedSeamStays) {
  GrazedBall ball;
  const PlanNode& free = *ball.plan;
  const PlanPtr locked =
      PlanPricer::join(free.body, free.plane, true, free.own_h, free.above, free.below);
  EXPECT_EQ(nudge_off_crumbs(locked, 0, ball.pricer, ball.random), locked);
}

}  // namespace
}  // namespace seamwright::search
