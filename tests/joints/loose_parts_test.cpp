#include "seamwright/joints/loose_parts.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "joints/box_pair.h"
#include "joints/random_plan.h"
#include "seamwright/query/mass_properties.h"
#include "seamwright/query/ray_tree.h"

namespace seamwright {
namespace {

using testing::box_pair;
using ::testing::HasSubstr;
using testing::PosedParts;

/// A wall of 3 mm on both sides of z = 0, its side towards +y hidden.
struct ThinWall {
  PosedParts pair = box_pair({120, 3, 60});
  Solid whole = testing::make_box({120, 3, 120}, {0, 0, -60});
  std::vector<double> sight;

  ThinWall() {
    for (std::size_t f = 0; f < whole.face_count(); ++f)
      sight.push_back(whole.area_normal(to_id<FaceId>(f)).y > 0 ? 0.0 : 1.0);
  }
  KeyedPieces keyed(Joinery joinery = {}) const {
    return key_pieces(pair.plan, pair.posed(), pair.faces, joinery, {.thread_count = 1},
                      {&whole, sight})
        .value();
  }
};

TEST(Straps, LieOverTheSeamOfAThinWallOnItsHiddenSide) {
  const ThinWall wall;
  const KeyedPieces out = wall.keyed();
  EXPECT_EQ(out.joints[0].kind, KeyKind::strap);
  EXPECT_TRUE(out.warnings.empty());
  ASSERT_EQ(out.loose_parts.size(), 1u);
  const LoosePart& strap = out.loose_parts[0];
  EXPECT_EQ(strap.mark, "J1a");
  const Box3& box = strap.solid.box();
  // Flat wall: 0.15 of glue over y = 3, 2 thick, 10 to each side of the seam.
  EXPECT_NEAR(box.low.y, 3.15, 1e-3);
  EXPECT_NEAR(box.high.y, 5.15, 1e-3);
  EXPECT_NEAR(box.low.z, -10, 1e-9);
  EXPECT_NEAR(box.high.z, 10, 1e-9);
  EXPECT_GE(strap.length_mm, 110);
  EXPECT_LE(strap.length_mm, 120);
  EXPECT_NEAR(strap.glue_area_mm2, 20 * strap.length_mm, 1);
  EXPECT_NEAR(volume_mm3(strap.solid), 40 * strap.length_mm, 5);
}

TEST(Straps, StandOnTheirLongEdge) {
  const KeyedPieces out = ThinWall().keyed();
  const LoosePart& strap = out.loose_parts.at(0);
  EXPECT_NEAR(strap.size_mm.z, 20, 1e-9);
  Box3 box;
  std::size_t on_bed = 0;
  for (Vec3 p : strap.solid.points()) {
    const Vec3 bed = strap.bed_from_part.apply(p);
    box.extend(bed);
    on_bed += std::abs(bed.z) < 1e-9;
  }
  EXPECT_NEAR(norm(box.low), 0, 1e-9);
  EXPECT_GE(on_bed, 100u);  // a whole long side, two points a section
}

TEST(Straps, AreClosedAndKeepOffThePieces) {
  const ThinWall wall;
  const KeyedPieces out = wall.keyed();
  for (const LoosePart& part : out.loose_parts) {
    EXPECT_FALSE(find_open_edge(part.solid.points(), part.solid.triangles()));
    for (const Solid& piece : out.solids) {
      const RayTree tree(piece);
      for (Vec3 p : part.solid.points()) EXPECT_GE(tree.nearest(p)->distance_mm, 0.05);
    }
  }
}

TEST(Straps, AreAsThickOverASeamThatLeans) {
  const Solid wall = testing::make_box({120, 3, 160});
  std::vector<double> sight;
  for (std::size_t f = 0; f < wall.face_count(); ++f)
    sight.push_back(wall.area_normal(to_id<FaceId>(f)).y > 0 ? 0.0 : 1.0);
  for (const double lean_deg : {-50.0, -43.0, -30.0, 15.0, 43.0, 50.0}) {
    SCOPED_TRACE(lean_deg);
    const Angle lean = Angle::degrees(lean_deg);
    const Vec3 normal = rotation({1, 0, 0}, lean).rotate({0, 0, 1});
    const SeamPlan plan =
        apply(SeamPlan{}, AddSeam{{}, Side::above, {normal, dot(normal, {60, 1.5, 80})}}).value();
    const PosedParts parts = testing::cut_and_pose(wall, plan, {300, 300, 300});
    const KeyedPieces out =
        key_pieces(parts.plan, parts.posed(), parts.faces, {}, {.thread_count = 1}, {&wall, sight})
            .value();
    ASSERT_EQ(out.joints.size(), 1u);
    EXPECT_EQ(out.joints[0].kind, KeyKind::strap);
    ASSERT_EQ(out.loose_parts.size(), 1u);
    const LoosePart& strap = out.loose_parts[0];
    EXPECT_NEAR(strap.solid.box().low.y, 3.15, 1e-3);
    EXPECT_NEAR(strap.solid.box().high.y, 5.15, 1e-3);
    EXPECT_NEAR(strap.size_mm.z, 20, 1e-6);  // stands on a long side, square to the seam
    EXPECT_NEAR(volume_mm3(strap.solid),
                40 * strap.length_mm / std::cos(lean_deg * std::numbers::pi / 180), 10);
  }
}

TEST(Straps, NeedToKnowTheHiddenSide) {
  const ThinWall wall;
  const KeyedPieces out = testing::keyed(wall.pair);
  EXPECT_TRUE(out.loose_parts.empty());
  ASSERT_EQ(out.warnings.size(), 1u);
  EXPECT_THAT(out.warnings[0].message, HasSubstr("--worn-side"));
}

TEST(Straps, AreLaidOverThickJointsOnlyWhenAskedFor) {
  ThinWall thick;
  thick.pair = box_pair({120, 12, 60});
  thick.whole = testing::make_box({120, 12, 120}, {0, 0, -60});
  EXPECT_TRUE(thick.keyed().loose_parts.empty());
  const KeyedPieces asked = thick.keyed({.key = KeyKind::strap});
  EXPECT_EQ(asked.joints[0].kind, KeyKind::strap);
  EXPECT_EQ(asked.loose_parts.size(), 1u);
}

TEST(Straps, OneJointCanBeChosenByItsSeamAndPieces) {
  ThinWall thick;
  thick.pair = box_pair({120, 12, 60});
  thick.whole = testing::make_box({120, 12, 120}, {0, 0, -60});
  Joinery joinery;
  joinery.choices = {{"S1", {"A1", "A2"}, KeyKind::strap}};
  EXPECT_EQ(thick.keyed(joinery).joints[0].kind, KeyKind::strap);
  joinery.choices = {{"S1", {"A1", "B2"}, KeyKind::strap}, {"S2", {}, KeyKind::strap}};
  EXPECT_EQ(thick.keyed(joinery).joints[0].kind, KeyKind::dowel);
}

TEST(Straps, AreDividedAtTheBedsLength) {
  ThinWall wall;
  wall.pair = box_pair({400, 3, 60});
  wall.whole = testing::make_box({400, 3, 120}, {0, 0, -60});
  wall.pair.usable_mm = {120, 120, 120};
  const KeyedPieces out = wall.keyed();
  EXPECT_GE(out.loose_parts.size(), 4u);
  double covered = 0;
  for (const LoosePart& part : out.loose_parts) {
    EXPECT_LE(part.size_mm.x, 120);
    covered += part.length_mm;
  }
  EXPECT_GE(covered, 370);
}

TEST(RodCuts, CountEqualRodsTogether) {
  const KeyedPieces out = testing::keyed(box_pair({60, 40, 50}));
  std::size_t rods = 0;
  for (const RodCut& cut : rod_cuts(out.joints)) {
    rods += cut.count;
    EXPECT_GT(cut.length_mm, 2 * cut.diameter_mm);
  }
  EXPECT_EQ(rods, out.joints[0].keys.size());
}

}  // namespace
}  // namespace seamwright
