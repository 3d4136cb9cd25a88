// Wires that meet a known seam at less than 45° are led anew, straight through it.

#include <gtest/gtest.h>

#include <cmath>

#include "seamwright/wiring/funnels.h"
#include "support/shapes.h"
#include "wiring/written_way.h"

namespace seamwright {
namespace {

/// A block with a bore along x, and a seam that it meets at 25°.
struct AskewBlock {
  Solid block;
  WiringSpec spec;
  SeamPlan plan;
  explicit AskewBlock(double wide_mm)
      : block(testing::make_box({240, wide_mm, 60})),
        spec{.wires = {{.name = "glow",
                        .from = {0, wide_mm / 2, 30},
                        .to = {240, wide_mm / 2, 30},
                        .kind = WireKind::bore,
                        .diameter_mm = 4}}} {
    const Angle turned = Angle::degrees(65);
    const Vec3 normal{std::cos(turned.radians()), std::sin(turned.radians()), 0};
    plan = *apply(SeamPlan{}, AddSeam{.plane = {normal, dot(normal, Vec3{120, wide_mm / 2, 30})}});
  }
  std::vector<SeamCrossing> crossings(const WiredPart& wired) const {
    const std::vector<JointFace> faces = *find_joint_faces(plan, *cut_plan(wired.solid, plan));
    return find_crossings(plan, faces, wired.channels);
  }
};

TEST(SquareWays, ABoreIsLedStraightThroughASeamItMetAskew) {
  const AskewBlock askew(140);
  const WiredPart before = *wire_part(askew.block, askew.spec);
  ASSERT_EQ(askew.crossings(before).size(), 1u);
  EXPECT_NEAR(askew.crossings(before)[0].angle.degrees(), 25, 0.1);

  const WiredPart wired = *wire_part(askew.block, askew.spec, {}, {}, &askew.plan);
  const auto crossings = askew.crossings(wired);
  ASSERT_EQ(crossings.size(), 1u);
  EXPECT_GE(crossings[0].angle.degrees(), 85);
  const Channel& channel = wired.channels[0];
  EXPECT_GE(channel.least_bend_mm, 15);
  EXPECT_GE(channel.least_wall_mm, 1.2);
  const Solid funnelled = *cut_funnels(wired.solid, askew.plan, crossings, wired.channels);
  const testing::WrittenPieces pieces(*cut_plan(funnelled, askew.plan));
  EXPECT_GE(pieces.least_room_mm(channel.path), channel.diameter_mm / 2 - 1e-3);
  // Straight over 5 mm on both sides of the seam.
  for (const Vec3& p : channel.path) {
    const Vec3 off = p - crossings[0].at;
    if (norm(off) > 5) continue;
    EXPECT_NEAR(norm(cross(off, askew.plan.seams[0].plane.normal)), 0, 0.3);
  }
}

TEST(SquareWays, AWayWithoutRoomToTurnStaysAsItWas) {
  const AskewBlock askew(12);
  const WiredPart before = *wire_part(askew.block, askew.spec);
  const WiredPart wired = *wire_part(askew.block, askew.spec, {}, {}, &askew.plan);
  EXPECT_EQ(wired.channels[0].path, before.channels[0].path);
}

TEST(SquareWays, AWayThatMeetsItsSeamsSquarelyStaysAsItWas) {
  const AskewBlock askew(140);
  const SeamPlan across = *apply(SeamPlan{}, AddSeam{.plane = {{1, 0, 0}, 100}});
  const WiredPart before = *wire_part(askew.block, askew.spec);
  const WiredPart wired = *wire_part(askew.block, askew.spec, {}, {}, &across);
  EXPECT_EQ(wired.channels[0].path, before.channels[0].path);
}

}  // namespace
}  // namespace seamwright
