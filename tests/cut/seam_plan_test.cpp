#include "seamwright/cut/seam_plan.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

const Plane kPlane{{0, 0, 1}, 3}, kOther{{1, 0, 0}, 4};

SeamPlan two_seams() {
  const SeamPlan one = apply({}, AddSeam{{}, {}, kPlane}).value();
  return apply(one, AddSeam{SeamId{1}, Side::below, kOther}).value();
}

std::string code_of(const Result<SeamPlan>& result) {
  return result ? "ok" : result.error().code;
}

TEST(SeamPlan, AddedSeamsGetNewIds) {
  const SeamPlan plan = two_seams();
  ASSERT_EQ(plan.seams.size(), 2u);
  EXPECT_EQ(plan.seams[0].id, SeamId{1});
  EXPECT_EQ(plan.seams[1].id, SeamId{2});
  EXPECT_EQ(plan.seams[1].parent, SeamId{1});
  EXPECT_EQ(plan.next_id, 3u);
}

TEST(SeamPlan, IdsAreNeverUsedAgain) {
  const SeamPlan removed = apply(two_seams(), RemoveSeam{SeamId{2}}).value();
  const SeamPlan again = apply(removed, AddSeam{SeamId{1}, Side::below, kOther}).value();
  EXPECT_EQ(again.seams.back().id, SeamId{3});
}

TEST(SeamPlan, AHalfTakesOneSeam) {
  EXPECT_EQ(code_of(apply(two_seams(), AddSeam{SeamId{1}, Side::below, kPlane})), "half-taken");
  EXPECT_EQ(code_of(apply(two_seams(), AddSeam{{}, Side::below, kPlane})), "half-taken");
  EXPECT_EQ(code_of(apply(two_seams(), AddSeam{SeamId{1}, Side::above, kPlane})), "ok");
}

TEST(SeamPlan, EditsOfUnknownSeamsAreRefused) {
  const SeamId missing{9};
  EXPECT_EQ(code_of(apply(two_seams(), AddSeam{missing, Side::above, kPlane})), "no-such-seam");
  EXPECT_EQ(code_of(apply(two_seams(), MoveSeam{missing, kPlane})), "no-such-seam");
  EXPECT_EQ(code_of(apply(two_seams(), RemoveSeam{missing})), "no-such-seam");
  EXPECT_EQ(code_of(apply(two_seams(), LockSeam{missing})), "no-such-seam");
}

TEST(SeamPlan, NormalsMustHaveUnitLength) {
  EXPECT_EQ(code_of(apply({}, AddSeam{{}, {}, {{0, 0, 1.1}, 0}})), "bad-plane");
  EXPECT_EQ(code_of(apply(two_seams(), MoveSeam{SeamId{1}, {{0, 0, 0}, 0}})), "bad-plane");
  EXPECT_EQ(code_of(apply({}, AddSeam{{}, {}, {{0, 0, 1 + 0.9e-9}, 0}})), "ok");
  EXPECT_EQ(code_of(apply({}, AddSeam{{}, {}, {{0, 0, 1}, std::nan("")}})), "bad-plane");
}

TEST(SeamPlan, MovingKeepsTheTree) {
  const SeamPlan moved = apply(two_seams(), MoveSeam{SeamId{1}, kOther}).value();
  EXPECT_EQ(find_seam(moved, SeamId{1})->plane, kOther);
  EXPECT_EQ(find_seam(moved, SeamId{2})->parent, SeamId{1});
}

TEST(SeamPlan, RemovingTakesEverythingUnderTheSeam) {
  const SeamPlan three = apply(two_seams(), AddSeam{SeamId{2}, Side::above, kPlane}).value();
  EXPECT_TRUE(apply(three, RemoveSeam{SeamId{1}}).value().seams.empty());
  EXPECT_EQ(apply(three, RemoveSeam{SeamId{2}}).value().seams.size(), 1u);
}

TEST(SeamPlan, LockedSeamsAreLeftAlone) {
  const SeamPlan locked = apply(two_seams(), LockSeam{SeamId{2}, true}).value();
  EXPECT_EQ(code_of(apply(locked, MoveSeam{SeamId{2}, kPlane})), "seam-locked");
  EXPECT_EQ(code_of(apply(locked, RemoveSeam{SeamId{2}})), "seam-locked");
  EXPECT_EQ(code_of(apply(locked, RemoveSeam{SeamId{1}})), "seam-locked");  // it lies under seam 1
  const SeamPlan free = apply(locked, LockSeam{SeamId{2}, false}).value();
  EXPECT_EQ(code_of(apply(free, MoveSeam{SeamId{2}, kPlane})), "ok");
}

TEST(SeamPlan, FindsSeamsById) {
  const SeamPlan plan = two_seams();
  EXPECT_EQ(find_seam(plan, SeamId{2})->plane, kOther);
  EXPECT_EQ(find_seam(plan, SeamId{7}), nullptr);
}

}  // namespace
}  // namespace seamwright
