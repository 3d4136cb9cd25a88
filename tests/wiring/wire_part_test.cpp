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
  const Result<WiredPart> wired = wire_part(part, {wire});
  return wired ? "none" : wired.error().code;
}

TEST(WirePart, WithoutWiresThePartComesBackAsItIs) {
  const Solid part = block();
  const WiredPart wired = *wire_part(part, {});
  EXPECT_EQ(wired.solid.face_count(), part.face_count());
  EXPECT_TRUE(wired.channels.empty());
}

TEST(WirePart, AStraightBoreTakesAwayItsCylinder) {
  const WiredPart wired = *wire_part(block(), {straight()});
  const double bore_mm3 = volume_mm3(block()) - volume_mm3(wired.solid);
  const double circle_mm3 = std::numbers::pi * 9 * 120;
  EXPECT_GE(bore_mm3, circle_mm3);                     // circumscribed: the wire passes
  EXPECT_LE(bore_mm3, circle_mm3 * 1.015);             // corners 0.02 mm outside
  EXPECT_NEAR(wired.channels[0].length_mm, 120, 2.1);  // counted by samples 1 mm apart
  EXPECT_NEAR(wired.channels[0].least_wall_mm, 15 - 3, 1e-6);
  EXPECT_EQ(wired.channels[0].governed_by, "given");
}

TEST(WirePart, FacesRememberTheirChannelAndTheSkinItsFace) {
  const WiredPart wired = *wire_part(block(), {straight()});
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
  const WiredPart wired = *wire_part(part, {wire});
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

TEST(WirePart, CrossingBoresOfTwoWiresAreRefused) {
  WireSpec across{.name = "cross", .from = {60, 0, 15}, .to = {60, 40, 15}, .diameter_mm = 4};
  const Result<WiredPart> wired = wire_part(block(), {straight(), across});
  ASSERT_FALSE(wired);
  EXPECT_THAT(wired.error().message, HasSubstr("\"glow\""));
}

TEST(WirePart, TwoWiresApartAreBothBored) {
  WireSpec second = straight();
  second.name = "second";
  second.from = {0, 8, 15};
  second.to = {120, 8, 15};
  const WiredPart wired = *wire_part(block(), {straight(), second});
  EXPECT_EQ(wired.channels.size(), 2u);
  EXPECT_NEAR(volume_mm3(block()) - volume_mm3(wired.solid), 2 * std::numbers::pi * 9 * 120,
              2 * 0.015 * std::numbers::pi * 9 * 120);
}

TEST(WirePart, ABoreTooNearTheSkinIsAnErrorThatSaysWhere) {
  WireSpec wire = straight();
  wire.via = {{40, 20, 15}, {60, 20, 26.5}, {80, 20, 15}};
  const Result<WiredPart> wired = wire_part(block(), {wire});
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

TEST(WirePart, RefusesEndsInsideShallowMouthsTightBendsAndMissingSizes) {
  WireSpec wire = straight();
  wire.from = {30, 20, 15};
  EXPECT_EQ(code_of(block(), wire), "wire-end-inside");
  wire = straight();
  wire.from = {20, 20, 30.2};
  wire.to = {120, 20, 15};
  EXPECT_EQ(code_of(block(), wire), "bore-too-near-skin");
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
  const WiredPart wired = *wire_part(block(), {wire});
  EXPECT_NEAR(wired.channels[0].diameter_mm, std::sqrt(2 * 1.3 * 1.3 / 0.31),
              1e-9);  // NFPA 70, two wires
  EXPECT_EQ(wired.channels[0].governed_by, "fill");
}

}  // namespace
}  // namespace seamwright
