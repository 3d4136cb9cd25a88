#include <gtest/gtest.h>

#include <atomic>

#include "seams/starts.h"
#include "search_bench.h"
#include "support/plans.h"

namespace seamwright {
namespace {

using search::Bench;
using search::PlanPricer;
using search::PlanPtr;
using testing::expect_sound;
using testing::make_box;
using testing::quick_options;
using testing::subdivide;

/// A run on one thread that is told to finish once its progress is past `from_ratio`.
struct Interrupted {
  explicit Interrupted(double from_ratio) {
    run.thread_count = 1;
    run.cancel = &wish;
    run.progress = [this, from_ratio](double share_ratio) {
      if (share_ratio >= from_ratio) wish = Cancel::finish;
    };
    if (from_ratio <= 0) wish = Cancel::finish;
  }
  std::atomic<Cancel> wish{Cancel::none};
  seamwright::Run run;
};

Result<PlannedSeams> interrupted_plan(const Solid& part, const PlanOptions& options,
                                      double from_ratio) {
  const Interrupted interrupted(from_ratio);
  return plan_seams(part, std::vector<double>(part.face_count(), 1.0), options, {},
                    interrupted.run);
}

TEST(Interrupted, ASearchGivesTheBestPlanSoFarAndSaysThatItIsNotComplete) {
  const PlanOptions options = quick_options();
  const Solid part = subdivide(make_box({420, 200, 190}), 2);
  for (const double from_ratio : {0.09, 0.3, 0.8}) {
    const Result<PlannedSeams> planned = interrupted_plan(part, options, from_ratio);
    ASSERT_TRUE(planned.has_value()) << planned.error().message;
    EXPECT_FALSE(planned->is_complete);
    expect_sound(part, *planned, options);
  }
}

TEST(Interrupted, ASearchWithoutAPlanThatFitsSaysSo) {
  PlanOptions options = quick_options();
  options.forbidden = {{.name = "everywhere", .center = {210, 30, 25}, .radius_mm = 1000}};
  const Result<PlannedSeams> planned = interrupted_plan(make_box({420, 60, 50}), options, 0);
  ASSERT_FALSE(planned.has_value());
  EXPECT_EQ(planned.error().code, "stopped-without-plan");
}

TEST(Interrupted, NothingIsCutOrFilledAnyMore) {
  const Bench bench(search::bar());
  const Interrupted interrupted(0);
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules, &interrupted.run);
  Random random(1, 1);
  EXPECT_TRUE(search::rollout(bench.body, pricer, random)->is_leaf());
  const std::array<double, 1> cut_mm{200};
  const PlanPtr halves = search::slices(pricer, bench.body, cut_mm);
  ASSERT_GT(halves->misfits, 0U);
  EXPECT_EQ(search::fill_misfits(halves, pricer, random, 3), halves);
  PlanPricer patient(bench.mesh, bench.prices, bench.rules);
  EXPECT_EQ(search::fill_misfits(halves, patient, random, 3)->misfits, 0U);
}

TEST(Clip, KeepsLittleRoomBesideWhatItHolds) {
  const Bench bench(make_box({500, 150, 150}));
  const search::BodyHalves halves = search::clip(*bench.body, {{1, 0, 0}, 200});
  for (const auto& half : {halves.above, halves.below}) {
    EXPECT_LT(half->points.capacity(), half->points.size() + 32);
    EXPECT_LT(half->faces.capacity(), half->faces.size() + 32);
  }
}

}  // namespace
}  // namespace seamwright
