#include "seamwright/wiring/wire_part.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numbers>

#include "seamwright/query/mass_properties.h"
#include "seamwright/query/ray_tree.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using ::testing::HasSubstr;

Solid block() {
  return testing::make_box({120, 40, 30});
}

WireSpec straight() {
  return {.name = "glow", .from = {0, 20, 15}, .to = {120, 20, 15}, .diameter_mm = 6};
}

std::string code_of(const Solid& part, const WireSpec& wire) {
  const Result<WiredPart> wired = wire_part(part, {.wires = {wire}});
  return wired ? "none" : wired.error().code;
}

TEST(WirePart, WithoutWiresThePartComesBackAsItIs) {
  const Solid part = block();
  const WiredPart wired = *wire_part(part, {});
  EXPECT_EQ(wired.solid.face_count(), part.face_count());
  EXPECT_TRUE(wired.channels.empty());
}

TEST(WirePart, AStraightBoreTakesAwayItsCylinder) {
  const WiredPart wired = *wire_part(block(), {.wires = {straight()}});
  const double bore_mm3 = volume_mm3(block()) - volume_mm3(wired.solid);
  const double circle_mm3 = std::numbers::pi * 9 * 120;
  EXPECT_GE(bore_mm3, circle_mm3);                     // circumscribed: the wire passes
  EXPECT_LE(bore_mm3, circle_mm3 * 1.015);             // corners 0.02 mm outside
  EXPECT_NEAR(wired.channels[0].length_mm, 120, 2.1);  // counted by samples 1 mm apart
  EXPECT_NEAR(wired.channels[0].least_wall_mm, 15 - 3, 1e-6);
  EXPECT_EQ(wired.channels[0].governed_by, "given");
}

TEST(WirePart, FacesRememberTheirChannelAndTheSkinItsFace) {
  const WiredPart wired = *wire_part(block(), {.wires = {straight()}});
  std::size_t channel_faces = 0;
  for (std::size_t f = 0; f < wired.solid.face_count(); ++f) {
    const Origin origin = wired.solid.origins()[f];
    const auto [a, b, c] = wired.solid.corners(to_id<FaceId>(f));
    const Vec3 middle = (a + b + c) / 3;
    const double from_axis = std::hypot(middle.y - 20, middle.z - 15);
    if (origin.kind == OriginKind::channel) {
      ++channel_faces;
      EXPECT_NEAR(from_axis, 3, 0.1);
    } else {
      EXPECT_EQ(origin.kind, OriginKind::skin);
      EXPECT_LT(origin.id, block().face_count());
    }
  }
  EXPECT_GT(channel_faces, 20u);
}

TEST(WirePart, ABallOfTheBoresRadiusPassesAlongACurvedWay) {
  const Solid part = testing::make_box({200, 120, 40});
  const WireSpec wire{.name = "bow",
                      .from = {0, 30, 20},
                      .to = {200, 30, 20},
                      .via = {{60, 70, 22}, {140, 70, 18}},
                      .diameter_mm = 5};
  const WiredPart wired = *wire_part(part, {.wires = {wire}});
  const RayTree tree(wired.solid);
  for (const Vec3& p : wired.channels[0].path) {
    EXPECT_FALSE(tree.contains(p));
    EXPECT_GE(tree.nearest(p)->distance_mm, 2.5 - 0.03);
  }
  for (const Vec3& point : wire.via) {
    double nearest = 1e9;
    for (const Vec3& p : wired.channels[0].path) nearest = std::min(nearest, norm(p - point));
    EXPECT_LT(nearest, 0.51) << "the way must pass its points";
  }
  EXPECT_GE(wired.channels[0].least_bend_mm, 15);
}

TEST(WirePart, ABoreTurnsGentlyBelowTheMouthsOfAThinBar) {
  // From one side of a bar to the same side farther on. Led almost squarely through the skin the
  // way turns with 9.2 mm; six diameters of its bundle are 14.4 mm.
  const Solid bar = testing::make_box({200, 30, 9});
  const WireSpec wire{
      .name = "bar", .from = {30, 15, 9}, .to = {170, 15, 9}, .conductors = {"2xAWG28"}};
  const WiredPart wired = *wire_part(bar, {.wires = {wire}});
  EXPECT_GE(wired.channels[0].least_bend_mm, 15);
  EXPECT_GE(wired.channels[0].least_wall_mm, 1.2);
  EXPECT_TRUE(wired.warnings.empty());
}

TEST(WirePart, ABoreIsLedRoundAnother) {
  const Solid part = testing::make_box({120, 90, 60});
  const WireSpec glow{.name = "glow", .from = {0, 45, 30}, .to = {120, 45, 30}, .diameter_mm = 6};
  const WireSpec across{.name = "cross", .from = {60, 0, 30}, .to = {60, 90, 30}, .diameter_mm = 4};
  const WiredPart wired = *wire_part(part, {.wires = {glow, across}});
  double apart_mm = 1e9;
  for (const Vec3& p : wired.channels[0].path) {
    for (const Vec3& q : wired.channels[1].path) apart_mm = std::min(apart_mm, norm(p - q));
  }
  EXPECT_GE(apart_mm, 3 + 2 + 1.2 - 0.1);
  EXPECT_GE(wired.channels[1].least_bend_mm, 9);
}

TEST(WirePart, CrossingBoresWithoutRoomAreRefused) {
  const Solid plate = testing::make_box({120, 40, 12});
  const WireSpec glow{.name = "glow", .from = {0, 20, 6}, .to = {120, 20, 6}, .diameter_mm = 6};
  const WireSpec across{.name = "cross", .from = {60, 0, 6}, .to = {60, 40, 6}, .diameter_mm = 4};
  const Result<WiredPart> wired = wire_part(plate, {.wires = {glow, across}});
  ASSERT_FALSE(wired);
  EXPECT_THAT(wired.error().message, HasSubstr("\"cross\""));
}

TEST(WirePart, TwoWiresApartAreBothBored) {
  WireSpec second = straight();
  second.name = "second";
  second.from = {0, 8, 15};
  second.to = {120, 8, 15};
  const WiredPart wired = *wire_part(block(), {.wires = {straight(), second}});
  EXPECT_EQ(wired.channels.size(), 2u);
  EXPECT_NEAR(volume_mm3(block()) - volume_mm3(wired.solid), 2 * std::numbers::pi * 9 * 120,
              2 * 0.015 * std::numbers::pi * 9 * 120);
}

TEST(WirePart, ABoreTooNearTheSkinIsAnErrorThatSaysWhere) {
  WireSpec wire = straight();
  wire.via = {{40, 20, 15}, {60, 20, 26.5}, {80, 20, 15}};
  const Result<WiredPart> wired = wire_part(block(), {.wires = {wire}});
  ASSERT_FALSE(wired);
  EXPECT_EQ(wired.error().code, "bore-too-near-skin");
  EXPECT_THAT(wired.error().message, HasSubstr("\"glow\""));
  EXPECT_THAT(wired.error().message, HasSubstr("at ("));
}

TEST(WirePart, ABoreThatLeavesTheBodyIsAnErrorThatSaysWhere) {
  WireSpec wire = straight();
  wire.via = {{60, 20, 45}};
  EXPECT_EQ(code_of(block(), wire), "bore-leaves-body");
  wire = straight();
  wire.from = {0, 20, 60};
  wire.to = {120, 20, 60};
  EXPECT_EQ(code_of(block(), wire), "bore-leaves-body");
}

TEST(WirePart, ABoreIsNotLedThroughTheAirOfAHollowBody) {
  const WireSpec wire{.name = "across",
                      .from = {56.9, 0, 50},
                      .to = {-40.1, 40.1, 50},
                      .kind = WireKind::bore,
                      .diameter_mm = 4};
  EXPECT_EQ(code_of(testing::make_tube(60, 57, 100), wire), "bore-leaves-body");
}

TEST(WirePart, RefusesEndsInsideTightBendsAndMissingSizes) {
  WireSpec wire = straight();
  wire.from = {30, 20, 15};
  EXPECT_EQ(code_of(block(), wire), "wire-end-inside");
  wire = straight();
  wire.via = {{60, 20, 15}, {62, 24, 15}, {60, 28, 15}};
  EXPECT_EQ(code_of(block(), wire), "bore-bend-too-tight");
  wire = straight();
  wire.diameter_mm.reset();
  EXPECT_EQ(code_of(block(), wire), "wire-conductors");
}

TEST(WirePart, ConductorsSizeTheBore) {
  WireSpec wire = straight();
  wire.diameter_mm.reset();
  wire.conductors = {"2xAWG26"};
  const WiredPart wired = *wire_part(block(), {.wires = {wire}});
  EXPECT_NEAR(wired.channels[0].diameter_mm, std::sqrt(2 * 1.3 * 1.3 / 0.31),
              1e-9);  // NFPA 70, two wires
  EXPECT_EQ(wired.channels[0].governed_by, "fill");
}

// A mouth at less than 30° to the skin would be a knife edge: the way goes in steeply and turns.
TEST(WirePart, AShallowMouthIsLedInSteeply) {
  WireSpec wire = straight();
  wire.from = {20, 20, 30.2};
  wire.diameter_mm = 4;
  const WiredPart wired = *wire_part(testing::make_box({120, 40, 30}), {.wires = {wire}});
  const std::vector<Vec3>& path = wired.channels[0].path;
  EXPECT_GE(std::abs(normalized(path[2] - path[0]).z), 0.5);
}

TEST(WirePart, APocketInAThickBodyTakesItsHole) {
  const PocketSpec lamp{.name = "lamp", .at = {60, 20, 30}, .size_mm = 12, .depth_mm = 8};
  const WiredPart wired = *wire_part(block(), {.pockets = {lamp}});
  ASSERT_EQ(wired.pockets.size(), 1u);
  const Pocket& pocket = wired.pockets[0];
  EXPECT_NEAR(norm(pocket.axis - Vec3{0, 0, -1}), 0, 1e-9);
  EXPECT_NEAR(pocket.size_mm.x, 12.2, 1e-9);  // 12 mm pixel: 12.2, common practice
  EXPECT_FALSE(pocket.has_boss);
  // The module's seat, then 3 mm of room for its cable, a ledge of 0.6 mm narrower.
  const double seat_mm3 = std::numbers::pi * (6.1 * 6.1 * 8 + 5.5 * 5.5 * 3);
  EXPECT_NEAR(volume_mm3(block()) - volume_mm3(wired.solid), seat_mm3, 0.02 * seat_mm3);
  for (std::size_t f = 0; f < wired.solid.face_count(); ++f) {
    const Origin origin = wired.solid.origins()[f];
    EXPECT_TRUE(origin.kind == OriginKind::skin || origin == (Origin{OriginKind::pocket, 0}));
  }
}

TEST(WirePart, APocketsRayMeetsTheSkinFromOutside) {
  PocketSpec lamp{.name = "lamp", .at = {60, 20, 300}, .direction = Vec3{0.2, 0, -1}};
  const WiredPart wired = *wire_part(block(), {.pockets = {lamp}});
  EXPECT_NEAR(norm(wired.pockets[0].at - Vec3{60 + 0.2 * 270, 20, 30}), 0, 1e-3);
  lamp.direction = Vec3{0, 0, 1};
  EXPECT_EQ(wire_part(block(), {.pockets = {lamp}}).error().code, "pocket-no-skin");
}

TEST(WirePart, AWireLeadsFromPocketToPocketByName) {
  const PocketSpec left{.name = "left", .at = {20, 20, 30}, .size_mm = 5, .depth_mm = 5};
  const PocketSpec right{.name = "right", .at = {100, 20, 30}, .size_mm = 5, .depth_mm = 5};
  const WireSpec wire{.name = "pair", .from = "left", .to = "right", .conductors = {"2xAWG26"}};
  const WiredPart wired = *wire_part(block(), {.pockets = {left, right}, .wires = {wire}});
  const RayTree tree(wired.solid);
  const Channel& channel = wired.channels[0];
  EXPECT_EQ(channel.from, "pocket left");
  EXPECT_FALSE(tree.contains(left.at - Vec3{0, 0, 4}));
  for (const Vec3& p : channel.path)
    EXPECT_GE(tree.nearest(p)->distance_mm, channel.diameter_mm / 2 - 0.03);
  EXPECT_EQ(wire_part(block(), {.wires = {wire}}).error().code, "pocket-unknown");
}

TEST(WirePart, ASparIsStraightAndItsRodFits) {
  const SparSpec spar{.name = "mast", .from = {0, 20, 15}, .to = {120, 20, 15}, .diameter_mm = 6};
  const WiredPart wired = *wire_part(block(), {.spars = {spar}});
  const RayTree tree(wired.solid);
  EXPECT_EQ(wired.channels[0].kind, "spar");
  for (double x = 0.5; x < 120; x += 1)
    EXPECT_GE(tree.nearest({x, 20, 15})->distance_mm, 3.15 - 1e-3);  // glue: 0.15 a side
  SparSpec low = spar;
  low.from = low.to = {0, 20, 3.5};
  low.to.x = 120;
  const Error error = wire_part(block(), {.spars = {low}}).error();
  EXPECT_EQ(error.code, "bore-too-near-skin");
  EXPECT_THAT(error.message, HasSubstr("spar \"mast\""));
}

TEST(WirePart, NamesTellItemsApart) {
  const PocketSpec lamp{.name = "glow", .at = {60, 20, 30}};
  EXPECT_EQ(wire_part(block(), {.pockets = {lamp}, .wires = {straight()}}).error().code,
            "name-taken");
}

TEST(WirePart, AThreadedConnectorWidensTheBore) {
  WireSpec wire = straight();
  wire.diameter_mm.reset();
  wire.conductors = {"2xAWG26"};
  wire.connector_mm = Vec3{6, 4, 12};
  EXPECT_EQ(wire_part(block(), {.wires = {wire}})->channels[0].governed_by, "fill");  // crimped on
  wire.pass = ConnectorPass::threaded;
  const Channel channel = wire_part(block(), {.wires = {wire}})->channels[0];
  EXPECT_EQ(channel.governed_by, "connector");
  EXPECT_GE(channel.diameter_mm, std::hypot(6, 4));
}

TEST(WirePart, ALongThinWireIsWarnedOfItsVoltDrop) {
  WireSpec wire = straight();
  wire.conductors = {"2xAWG30"};
  wire.current_a = 2;
  const WiredPart wired = *wire_part(block(), {.wires = {wire}});
  ASSERT_EQ(wired.channels[0].drop.size(), 1u);
  // 2 · L · I · R with L the way and 80 mm at each end.
  const double length_m = (wired.channels[0].length_mm + 160) / 1000;
  EXPECT_NEAR(wired.channels[0].drop[0].drop_v, 2 * length_m * 2 * 0.3386, 1e-3);
  ASSERT_FALSE(wired.warnings.empty());
  EXPECT_THAT(wired.warnings.back(), HasSubstr("AWG"));
}

}  // namespace
}  // namespace seamwright
