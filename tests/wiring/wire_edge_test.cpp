// Wires that end at an edge of the part.

#include <gtest/gtest.h>

#include "seamwright/query/ray_tree.h"
#include "seamwright/wiring/wire_part.h"
#include "support/shapes.h"
#include "wiring/wired_bodies.h"

namespace seamwright {
namespace {

TEST(WireEdge, ABoreInAPlateLeavesInTheMiddleOfTheNearestNarrowSide) {
  const Solid plate = testing::make_box({160, 100, 12});
  const PocketSpec lamp{.name = "lamp", .at = {40, 50, 12}, .size_mm = 5, .depth_mm = 4};
  const WireSpec wire{.name = "out", .from = "lamp", .to = "edge", .diameter_mm = 3};
  const WiredPart wired = *wire_part(plate, {.pockets = {lamp}, .wires = {wire}});
  const Channel& channel = wired.channels[0];
  EXPECT_EQ(channel.kind, "bore");
  EXPECT_NEAR(channel.path.back().x, 0, 1.5);
  EXPECT_NEAR(channel.path.back().z, 6, 0.5);
  EXPECT_EQ(channel.to.rfind("the edge at (", 0), 0u);
  EXPECT_GE(channel.least_wall_mm, 1.2);
  EXPECT_FALSE(RayTree(wired.solid).contains({0.2, channel.path.back().y, 6}));
}

TEST(WireEdge, ARidgeOnAShellEndsSquarelyAtItsRim) {
  const testing::WiredBody shell("shell");
  const WireSpec wire{.name = "out",
                      .from = {-60, 20, 165},
                      .to = "edge",
                      .via = {{-60, 90, 120}},
                      .diameter_mm = 4};
  const WiredPart wired = *wire_part(shell.solid, {.wires = {wire}}, shell.sight);
  const Channel& channel = wired.channels[0];
  EXPECT_EQ(channel.kind, "rib");
  // The shell's rim lies in z = 0; the ridge ends 3 mm above it, going down.
  EXPECT_NEAR(channel.path.back().z, 3, 1);
  const std::size_t last = channel.path.size() - 1;
  EXPECT_LE(normalized(channel.path[last] - channel.path[last - 3]).z, -0.8);
  for (const Vec3& p : wired.solid.points()) ASSERT_GE(p.z, -1e-6) << "stands over the rim";
}

TEST(WireEdge, ABlockHasNoEdgeToLeaveBy) {
  const WireSpec wire{.name = "out", .from = {0, 50, 50}, .to = "edge", .diameter_mm = 3};
  const Result<WiredPart> wired = wire_part(testing::make_box({100, 100, 100}), {.wires = {wire}});
  ASSERT_FALSE(wired);
  EXPECT_EQ(wired.error().code, "edge-not-found");
}

TEST(WireEdge, FromEdgeToEdgeNeedsAPointBetween) {
  const Solid plate = testing::make_box({160, 100, 12});
  WireSpec wire{.name = "across", .from = "edge", .to = "edge", .diameter_mm = 3};
  EXPECT_EQ(wire_part(plate, {.wires = {wire}}).error().code, "edge-not-found");
  wire.via = {{40, 50, 6}, {120, 50, 6}};
  const WiredPart wired = *wire_part(plate, {.wires = {wire}});
  EXPECT_NEAR(wired.channels[0].length_mm, 160, 8);
}

TEST(WireEdge, NoPocketCanTakeItsName) {
  const PocketSpec lamp{.name = "edge", .at = {40, 50, 12}};
  EXPECT_EQ(wire_part(testing::make_box({160, 100, 12}), {.pockets = {lamp}}).error().code,
            "name-taken");
}

}  // namespace
}  // namespace seamwright
