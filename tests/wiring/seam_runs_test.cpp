#include "seamwright/wiring/seam_runs.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.h"

namespace seamwright {
namespace {

/// A block of 200 by 60 by 30 with one bore along x at y = 30, cut by a plane.
struct BoredBlock {
  WiredPart wired;
  explicit BoredBlock(
      WireSpec wire = {.name = "glow", .from = {0, 30, 15}, .to = {200, 30, 15}, .diameter_mm = 4})
      : wired(*wire_part(testing::make_box({200, 60, 30}), {.wires = {std::move(wire)}})) {}

  std::vector<SeamRun> runs(const SeamPlan& plan) const {
    const std::vector<JointFace> faces = *find_joint_faces(plan, *cut_plan(wired.solid, plan));
    return find_seam_runs(plan, faces, wired.channels);
  }
  std::vector<SeamRun> runs(const Plane& plane) const {
    return runs(*apply(SeamPlan{}, AddSeam{.plane = plane}));
  }
};

Plane turned_about_z(double degrees, Vec3 through) {
  const Angle turn = Angle::degrees(degrees);
  const Vec3 normal{std::cos(turn.radians()), std::sin(turn.radians()), 0};
  return {normal, dot(normal, through)};
}

TEST(SeamRuns, ASeamBesideAWayIsToldWithItsLengthAndDistance) {
  const auto runs = BoredBlock().runs({{0, 1, 0}, 34});
  ASSERT_EQ(runs.size(), 1u);
  EXPECT_EQ(runs[0].channel, 0u);
  EXPECT_EQ(runs[0].seam, to_id<SeamId>(1));
  EXPECT_NEAR(runs[0].length_mm, 200, 2);  // the way sticks out of the block by no more
  EXPECT_NEAR(runs[0].nearest_mm, 4, 1e-6);
}

TEST(SeamRuns, ASeamSixMillimetresOffIsNone) {
  EXPECT_TRUE(BoredBlock().runs({{0, 1, 0}, 36}).empty());
}

TEST(SeamRuns, OnlyStretchesNearTheFacesCount) {
  // The seam beside the way ends at a seam across it, at x = 120.
  const SeamPlan across = *apply(SeamPlan{}, AddSeam{.plane = {{1, 0, 0}, 120}});
  const SeamPlan plan = *apply(across, AddSeam{across.seams[0].id, Side::above, {{0, 1, 0}, 33}});
  const auto runs = BoredBlock().runs(plan);
  ASSERT_EQ(runs.size(), 1u);
  EXPECT_EQ(runs[0].seam, plan.seams[1].id);
  EXPECT_NEAR(runs[0].length_mm, 80 + 4, 2);  // √(5² − 3²) beyond the face's end
}

TEST(SeamRuns, ACrossingCountsByItsAngle) {
  // A band of 5 mm on either side is crossed in 10 / sin of the angle between way and plane.
  const BoredBlock block;
  EXPECT_TRUE(block.runs(turned_about_z(0, {100, 30, 15})).empty());
  EXPECT_TRUE(block.runs(turned_about_z(40, {100, 30, 15})).empty());
  const auto runs = block.runs(turned_about_z(65, {100, 30, 15}));
  ASSERT_EQ(runs.size(), 1u);
  EXPECT_NEAR(runs[0].length_mm, 10 / std::cos(65 * M_PI / 180), 1.5);
  EXPECT_LT(runs[0].nearest_mm, 3);
}

}  // namespace
}  // namespace seamwright
