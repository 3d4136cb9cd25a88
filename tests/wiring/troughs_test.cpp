// Troughs with their lids, and clips.

#include <gtest/gtest.h>

#include "seamwright/query/ray_tree.h"
#include "seamwright/wiring/lids.h"
#include "support/shapes.h"
#include "wiring/wired_bodies.h"

namespace seamwright {
namespace {

/// A plate whose back, z = 3, is hidden.
struct Plate {
  Solid solid = testing::make_box({200, 80, 3});
  std::vector<double> sight = [this] {
    std::vector<double> seen(solid.face_count(), 1.0);
    for (std::size_t f = 0; f < seen.size(); ++f) {
      if (normalized(solid.area_normal(to_id<FaceId>(f))).z > 0.9) seen[f] = 0;
    }
    return seen;
  }();
};

WireSpec over_the_plate(WireKind kind) {
  return {.name = "over", .from = {20, 40, 3}, .to = {180, 40, 3}, .kind = kind, .diameter_mm = 4};
}

TEST(Troughs, AreOpenAboveWithALedgeForALidAsWideAsTheirs) {
  const Plate plate;
  const WiredPart wired =
      *wire_part(plate.solid, {.wires = {over_the_plate(WireKind::trough)}}, plate.sight);
  const Channel& channel = wired.channels[0];
  EXPECT_EQ(channel.kind, "trough");
  const RayTree tree(wired.solid);
  const std::size_t middle = channel.lid_way.size() / 2;
  const Vec3 under = channel.lid_way[middle], up = channel.lid_ups[middle];
  EXPECT_FALSE(tree.first_hit(channel.path[channel.path.size() / 2], up, 0)) << "open above";
  // Beside the lid's strip, half its thickness over the ledge: its play of 0.15 mm to the walls.
  for (const Vec3 side : {Vec3{0, 1, 0}, Vec3{0, -1, 0}}) {
    const auto wall = tree.first_hit(under + up * (channel.lid_mm.z / 2), side, 0);
    ASSERT_TRUE(wall);
    EXPECT_NEAR(wall->distance_mm, channel.lid_mm.y / 2 + 0.15, 0.02);
    // And the ledge it lies on is there below its edge.
    const Vec3 edge = under + side * (channel.lid_mm.y / 2 - 0.2) + up * 0.3;
    EXPECT_NEAR(tree.first_hit(edge, -up, 0)->distance_mm, 0.3, 0.02);
  }
}

TEST(Troughs, GetLidsAsLongAsTheyAre) {
  const Plate plate;
  const WiredPart wired =
      *wire_part(plate.solid, {.wires = {over_the_plate(WireKind::trough)}}, plate.sight);
  const std::vector<ChannelLid> lids = lids_of(wired.channels, 170);
  ASSERT_EQ(lids.size(), 1u);
  EXPECT_NEAR(lids[0].length_mm, 160, 1);
  EXPECT_NEAR(lids[0].solid.box().size().y, wired.channels[0].lid_mm.y, 0.05);
}

TEST(Clips, StandAtTheirPitchAndHoldTheWireByANarrowerMouth) {
  const Plate plate;
  WireSpec wire = over_the_plate(WireKind::clips);
  wire.clip_pitch_mm = 40;
  const WiredPart wired = *wire_part(plate.solid, {.wires = {wire}}, plate.sight);
  const Channel& channel = wired.channels[0];
  EXPECT_EQ(channel.kind, "clips");
  const RayTree tree(wired.solid);
  // Rays down beside the wire's middle meet clips at 20, 60, 100, 140 mm of 160, the plate between.
  for (double x = 24; x < 178; x += 2) {
    const double off_mm = std::abs(std::fmod(x - 20, 40) - 20);
    if (off_mm > 2.5 && off_mm < 6) continue;  // a clip's ends
    const double high_mm = 50 - tree.first_hit({x, 43.2, 50}, {0, 0, -1}, 0)->distance_mm;
    EXPECT_EQ(high_mm > 4, off_mm < 3) << x;
  }
  // The mouth over the wire: 0.75 of its diameter wide, the wire's own room below.
  const Vec3 mouth{40, 40, channel.path[0].z + 2 + 1};
  const double left_mm = tree.first_hit(mouth, {0, 1, 0}, 0)->distance_mm,
               right_mm = tree.first_hit(mouth, {0, -1, 0}, 0)->distance_mm;
  EXPECT_NEAR(left_mm + right_mm, 0.75 * 4, 0.1);
  for (const Vec3& p : channel.path) EXPECT_GE(tree.nearest(p)->distance_mm, 2 - 0.03);
}

}  // namespace
}  // namespace seamwright
