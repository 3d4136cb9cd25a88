// Lying bores get roofs, so that nothing in them hangs flatter than 45° over nothing as their piece
// prints. 45°: common practice.

#include "seamwright/wiring/roofs.h"

#include <gtest/gtest.h>

#include <cmath>

#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"
#include "wiring/written_way.h"

namespace seamwright {
namespace {

/// A block with a bore along x, cut in two at x = 60.
struct BoredBlock {
  WiredPart wired;
  SeamPlan plan;
  std::vector<CutPiece> cuts;
  BoredBlock(double bore_mm, double high_mm)
      : wired(*wire_part(testing::make_box({120, 60, 40}), {.wires = {{.name = "glow",
                                                                       .from = {0, 30, high_mm},
                                                                       .to = {120, 30, high_mm},
                                                                       .kind = WireKind::bore,
                                                                       .diameter_mm = bore_mm}}})),
        plan(*apply(SeamPlan{}, AddSeam{.plane = {{1, 0, 0}, 60}})),
        cuts(*cut_plan(wired.solid, plan)) {}

  /// The piece at low x stands on the seam's face or lies, as `low_up` says; the other lies.
  RoofedPart roofed(Vec3 low_up, Vec3 high_up = {0, 0, 1}) const {
    std::vector<PrintedPiece> pieces;
    for (const CutPiece& cut : cuts)
      pieces.push_back({&cut, cut.side == Side::below ? low_up : high_up});
    return add_roofs(wired.solid, plan, pieces, wired.channels);
  }
};

/// Area of the bore's walls between two x that hang flatter than 44° (the slopes' own 48° less the
/// grain of their rings).
double hanging_mm2(const Solid& solid, Vec3 up, double from_mm, double to_mm) {
  double sum_mm2 = 0;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const auto face = to_id<FaceId>(f);
    const auto [a, b, c] = solid.corners(face);
    const double x = (a.x + b.x + c.x) / 3;
    if (solid.origin(face).kind != OriginKind::channel || x < from_mm || x > to_mm) continue;
    const Vec3 area = solid.area_normal(face);
    if (dot(normalized(area), -up) > std::cos(Angle::degrees(44).radians()))
      sum_mm2 += norm(area) / 2;
  }
  return sum_mm2;
}

TEST(Roofs, NothingInALyingBoreHangsFlatterThan45Degrees) {
  const BoredBlock block(10, 20);
  EXPECT_GT(hanging_mm2(block.wired.solid, {0, 0, 1}, 5, 55), 200);
  const RoofedPart roofed = block.roofed({0, 0, 1}, {0, 1, 0});
  EXPECT_NEAR(hanging_mm2(roofed.solid, {0, 0, 1}, 5, 55), 0, 1);
  EXPECT_NEAR(hanging_mm2(roofed.solid, {0, 1, 0}, 65, 115), 0, 1);
  ASSERT_EQ(roofed.bores.size(), 2u);
  for (const LyingBore& bore : roofed.bores) {
    EXPECT_NEAR(bore.lying_mm, 60, 1.5);
    EXPECT_GE(bore.roofed_mm, 55);
    EXPECT_FALSE(bore.is_refused);
  }
}

TEST(Roofs, TheRoundBoreStaysInsideWhatIsCut) {
  const BoredBlock block(10, 20);
  const RoofedPart roofed = block.roofed({0, 0, 1});
  const std::vector<CutPiece> cuts = *cut_plan(roofed.solid, block.plan);
  const testing::WrittenPieces pieces(cuts);
  EXPECT_GE(pieces.least_room_mm(block.wired.channels[0].path), 5 - 1e-3);
  EXPECT_NEAR(volume_mm3(cuts[0].solid) + volume_mm3(cuts[1].solid), volume_mm3(roofed.solid),
              1e-6);
  EXPECT_LT(volume_mm3(roofed.solid), volume_mm3(block.wired.solid) - 300);
}

TEST(Roofs, AStandingBoreStaysRound) {
  const BoredBlock block(10, 20);
  const RoofedPart roofed = block.roofed({1, 0, 0});
  ASSERT_EQ(roofed.bores.size(), 1u);
  EXPECT_GT(hanging_mm2(roofed.solid, {0, 0, 1}, 5, 55), 200);
}

TEST(Roofs, UpTo6MmABorePrintsRound) {
  const BoredBlock block(6, 20);
  const RoofedPart roofed = block.roofed({0, 0, 1});
  EXPECT_TRUE(roofed.bores.empty());
  EXPECT_EQ(roofed.solid.face_count(), block.wired.solid.face_count());
}

TEST(Roofs, WhereTheWallForbidsItABoreStaysRoundAndSaysWhatBridges) {
  const BoredBlock block(10, 40 - 5 - 3);  // 3 mm over the bore, 0.5 mm over a roof
  const RoofedPart roofed = block.roofed({0, 0, 1}, {0, 0, -1});
  ASSERT_EQ(roofed.bores.size(), 2u);
  for (const LyingBore& bore : roofed.bores) {
    const bool is_under_wall = block.cuts[bore.piece].side == Side::below;
    EXPECT_EQ(bore.roofed_mm > 0, !is_under_wall);
    EXPECT_TRUE(is_under_wall || bore.roofed_mm >= 55);
    EXPECT_NEAR(bore.bridge_mm, 7.07, 0.01);  // chord of the quarter over it: 10 · sin 45°
  }
  EXPECT_GT(hanging_mm2(roofed.solid, {0, 0, 1}, 5, 55), 200);
}

}  // namespace
}  // namespace seamwright
