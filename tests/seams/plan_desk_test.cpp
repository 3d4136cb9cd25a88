#include "seamwright/seams/plan_desk.h"

#include <gtest/gtest.h>

#include "seamwright/query/mass_properties.h"
#include "support/plans.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using testing::quick_options;

/// A bar of 420 in three, and a judge that counts how often it is asked.
class OnTheDesk : public ::testing::Test {
 protected:
  OnTheDesk() {
    plan_ = apply({}, AddSeam{{}, Side::above, {{1, 0, 0}, 150}}).value();
    plan_ = apply(plan_, AddSeam{plan_.seams[0].id, Side::above, {{1, 0, 0}, 290}}).value();
    judge_.print_s = [this](const Solid& solid, const Pose&, std::size_t) {
      ++asked_;
      return volume_mm3(solid) / 50;
    };
  }
  PlannedSeams afresh(const SeamPlan& plan) {
    PlanOptions options = quick_options();
    options.given = plan;
    return plan_seams(*part_, sight_, options, judge_).value();
  }

  std::shared_ptr<const Solid> part_ =
      std::make_shared<const Solid>(testing::subdivide(testing::make_box({420, 60, 50}), 2));
  std::vector<double> sight_ = std::vector<double>(part_->face_count(), 1.0);
  SeamPlan plan_;
  PieceJudge judge_;
  std::atomic<int> asked_ = 0;
};

TEST_F(OnTheDesk, GivesWhatPlanSeamsGivesAfterEveryMove) {
  PlanDesk desk(part_, sight_, quick_options(), judge_);
  SeamPlan plan = plan_;
  for (const double offset_mm : {290.0, 285.0, 300.0, 285.0}) {
    plan = apply(plan, MoveSeam{plan.seams[1].id, {{1, 0, 0}, offset_mm}}).value();
    const Result<PlannedSeams> moved = desk.judge(plan);
    ASSERT_TRUE(moved) << moved.error().message;
    const PlannedSeams fresh = afresh(plan);
    EXPECT_EQ(moved->maker_h, fresh.maker_h);
    ASSERT_EQ(moved->pieces.size(), fresh.pieces.size());
    for (std::size_t i = 0; i < fresh.pieces.size(); ++i) {
      EXPECT_EQ(volume_mm3(moved->pieces[i].cut.solid), volume_mm3(fresh.pieces[i].cut.solid));
      EXPECT_EQ(moved->pieces[i].pose.size_mm, fresh.pieces[i].pose.size_mm);
    }
  }
}

TEST_F(OnTheDesk, LooksAgainOnlyAtPiecesThatChanged) {
  PlanDesk desk(part_, sight_, quick_options(), judge_);
  ASSERT_TRUE(desk.judge(plan_));
  EXPECT_EQ(asked_, 3);
  const SeamPlan moved = apply(plan_, MoveSeam{plan_.seams[1].id, {{1, 0, 0}, 280}}).value();
  ASSERT_TRUE(desk.judge(moved));
  EXPECT_EQ(asked_, 5);  // the two pieces beside the second seam
  ASSERT_TRUE(desk.judge(plan_));
  EXPECT_EQ(asked_, 5);  // taken back: all is known
}

TEST_F(OnTheDesk, SaysWhenAPieceNoLongerFits) {
  PlanDesk desk(part_, sight_, quick_options(), judge_);
  const Result<PlannedSeams> whole = desk.judge(SeamPlan{});
  ASSERT_FALSE(whole);
  EXPECT_EQ(whole.error().code, "no-plan");
}

TEST_F(OnTheDesk, IsTheSameOnAnyThreadCount) {
  std::vector<double> hours;
  for (const int threads : {1, 2, 7}) {
    PlanDesk desk(part_, sight_, quick_options(), judge_);
    hours.push_back(desk.judge(plan_, seamwright::Run{.thread_count = threads}).value().maker_h);
  }
  EXPECT_EQ(hours[0], hours[1]);
  EXPECT_EQ(hours[0], hours[2]);
}

}  // namespace
}  // namespace seamwright
