#include "seamwright/pose/pose_probe.h"

#include <gtest/gtest.h>

#include <array>

#include "support/pieces.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using testing::expect_in_room;
using testing::make_box;
using testing::make_frustum;
using testing::make_sphere;
using testing::random_polytope;
using testing::with_cap;

constexpr SeamId kSeam{2};
constexpr std::array<Vec3, 1> kRoom{{{180, 180, 180}}};

TEST(PoseProbe, TakesTheLargestJointFaceThatHolds) {
  const Solid piece =
      with_cap(with_cap(make_box({60, 50, 40}), {1, 0, 0}, kSeam), {0, 0, 1}, SeamId{3});
  const BestPose best = best_standing_pose(piece, kRoom);
  ASSERT_TRUE(best.pose);
  EXPECT_EQ(best.pose->foot_seam, SeamId{3});
  EXPECT_TRUE(best.misfit.is_none());
  EXPECT_EQ(best.misfit.penalty_h(), 0);
}

TEST(PoseProbe, TriesTheRoomsInTheirOrder) {
  const std::array<Vec3, 3> rooms{{{50, 50, 50}, {220, 220, 250}, {300, 300, 300}}};
  const Solid piece = with_cap(make_box({200, 50, 40}), {1, 0, 0}, kSeam);
  const BestPose best = best_standing_pose(piece, rooms);
  ASSERT_TRUE(best.pose);
  EXPECT_EQ(best.printer, 1u);
}

TEST(PoseProbe, FindsAPoseJustWhenTheListHasOne) {
  Random random(21);
  for (int round = 0; round < 200; ++round) {
    const Solid bare = random_polytope(random, 6 + random.below(30), {160, 140, 110});
    const Solid piece = with_cap(bare, bare.area_normal(FaceId{0}), kSeam);
    const std::array<Vec3, 1> room{
        {{random.uniform(80, 160), random.uniform(80, 160), random.uniform(60, 160)}}};
    for (const Foot last : {Foot::joint_face, Foot::flat_side, Foot::supports}) {
      PoseProbe probe(piece);
      const BestPose best = probe.best(room, last);
      EXPECT_EQ(best.pose.has_value(), !probe.all(room[0], last).empty()) << "round " << round;
      EXPECT_EQ(best.pose.has_value(), best.misfit.is_none()) << "round " << round;
      if (best.pose) expect_in_room(piece, best.pose->bed_from_part, room[0]);
    }
  }
}

TEST(PoseProbe, SaysHowMuchTooLarge) {
  const auto excess_mm = [](Vec3 size) {
    const Solid piece = with_cap(make_box(size), {0, 0, -1}, kSeam);
    return best_standing_pose(piece, kRoom, Foot::joint_face).misfit.excess_mm;
  };
  EXPECT_NEAR(excess_mm({150, 150, 195}), 15, 1e-6) << "too tall";
  EXPECT_NEAR(excess_mm({250, 30, 40}), 280 / std::numbers::sqrt2 - 180, 1e-6) << "at 45°";
  EXPECT_NEAR(excess_mm({190, 190, 190}), 10, 1e-6);
}

TEST(PoseProbe, SaysWhatStandingLacks) {
  const Solid post = with_cap(make_box({15, 15, 160}), {0, 0, -1}, kSeam);
  const Misfit misfit = best_standing_pose(post, kRoom, Foot::joint_face).misfit;
  EXPECT_EQ(misfit.excess_mm, 0);
  EXPECT_NEAR(misfit.contact_deficit_mm2, 400 - 225, 1e-6);
  EXPECT_NEAR(misfit.tip_deficit_deg, 8 - Angle::radians(std::atan2(7.5, 80)).degrees(), 1e-6);
  EXPECT_NEAR(misfit.slender_excess_ratio, 160.0 / 15 - 8, 1e-6);
}

TEST(PoseProbe, PenaltyGrowsWithTheMisfit) {
  double before = 0;
  for (const double length : {185.0, 190.0, 220.0, 400.0}) {
    const Solid piece = with_cap(make_box({length, length, 60}), {0, 0, -1}, kSeam);
    const double penalty_h = best_standing_pose(piece, kRoom).misfit.penalty_h();
    EXPECT_GT(penalty_h, std::max(before, 1.0));
    before = penalty_h;
  }
}

TEST(PoseProbe, ASolidWithoutFeetHasAMisfitToo) {
  const BestPose small = best_standing_pose(make_sphere(50), kRoom);
  const BestPose large = best_standing_pose(make_sphere(120), kRoom);
  EXPECT_FALSE(small.pose);
  EXPECT_FALSE(small.misfit.is_none());
  EXPECT_GT(large.misfit.penalty_h(), small.misfit.penalty_h());
  EXPECT_TRUE(best_standing_pose(make_sphere(50), kRoom, Foot::supports).pose)
      << "rests on supports";
}

}  // namespace
}  // namespace seamwright
