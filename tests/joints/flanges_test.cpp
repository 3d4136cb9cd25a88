#include "seamwright/joints/flanges.h"

#include <gtest/gtest.h>

#include "joints/box_pair.h"
#include "joints/self_crossing.h"
#include "seamwright/cut/boolean.h"
#include "seamwright/cut/plane_cut.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

struct ThinWall {
  testing::PosedParts pair = testing::box_pair({120, 3, 60});
  Solid whole = testing::make_box({120, 3, 120}, {0, 0, -60});
  std::vector<double> sight;
  ThinWall() {
    for (std::size_t f = 0; f < whole.face_count(); ++f)
      sight.push_back(whole.area_normal(to_id<FaceId>(f)).y > 0 ? 0.0 : 1.0);
  }
  std::vector<Flange> flanges(const FlangeRules& rules = {}) const {
    const std::vector<std::size_t> wanted{0};
    return plan_flanges(pair.plan, pair.posed(), pair.faces, wanted, {&whole, sight}, rules);
  }
};

TEST(Flanges, StandOnTheHiddenSideOverTheSeam) {
  const auto flanges = ThinWall().flanges();
  ASSERT_EQ(flanges.size(), 1u);
  ASSERT_EQ(flanges[0].ridges.size(), 1u);
  const Solid& ridge = flanges[0].ridges[0];
  EXPECT_FALSE(find_open_edge(ridge.points(), ridge.triangles()));
  EXPECT_NEAR(ridge.box().low.y, 2, 1e-3);    // 1 mm sunk
  EXPECT_NEAR(ridge.box().high.y, 11, 1e-3);  // 8 mm over the skin
  EXPECT_NEAR(ridge.box().low.z, -3, 1e-9);
  EXPECT_NEAR(ridge.box().high.z, 3, 1e-9);
  EXPECT_NEAR(volume_mm3(ridge), 9 * 6 * flanges[0].length_mm, 5);
}

TEST(Flanges, HaveScrewHolesThatReachAMillimetreBeyondThem) {
  const auto flanges = ThinWall().flanges();
  ASSERT_EQ(flanges.at(0).drills.size(), flanges[0].holes.size());
  EXPECT_GE(flanges[0].holes.size(), 2u);
  for (const Solid& drill : flanges[0].drills) {
    EXPECT_FALSE(find_open_edge(drill.points(), drill.triangles()));
    EXPECT_NEAR(drill.box().low.z, -4, 1e-9);
    EXPECT_NEAR(drill.box().high.z, 4, 1e-9);
    EXPECT_GE(drill.box().low.y, 3 + 1.2 - 1e-6);  // wall over the skin
    EXPECT_LE(drill.box().high.y, 11 - 1.2 + 1e-6);
    EXPECT_GT(volume_mm3(drill), 0);
  }
}

/// What a hole of this diameter, rounded in the tool's polygon, spans.
constexpr double kRound_mm = 0.03;

// One piece bears the bores, the other the screws' clearance; 2 mm of wall round the bores.
TEST(Flanges, WithInsertsHaveBoresInOnePieceAndClearanceInTheOther) {
  const ThinWall wall;
  const InsertSize m3 = insert_size(InsertThread::m3);
  const auto flanges = wall.flanges({.screw = m3, .has_inserts = true});
  ASSERT_EQ(flanges.size(), 1u);
  EXPECT_EQ(flanges[0].screw_side, Side::above);
  ASSERT_GE(flanges[0].holes.size(), 2u);
  ASSERT_EQ(flanges[0].drills.size(), 2 * flanges[0].holes.size());
  const Box3 ridge = flanges[0].ridges[0].box();
  EXPECT_NEAR(ridge.low.z, -(5.7 + 1.5 + 1), 1e-9);
  EXPECT_NEAR(ridge.high.z, 3, 1e-9);
  for (std::size_t k = 0; k < flanges[0].holes.size(); ++k) {
    const Box3 bore = flanges[0].drills[2 * k].box(), screw = flanges[0].drills[2 * k + 1].box();
    EXPECT_NEAR(bore.low.z, -7.2, 1e-9) << "1.5 mm deeper than the insert";
    EXPECT_NEAR(bore.size().y, 4.0, kRound_mm);
    EXPECT_NEAR(screw.size().y, 3.4, kRound_mm);
    EXPECT_NEAR(screw.high.z, 3 + 1, 1e-9);
    EXPECT_GE(bore.low.y, 3 + 2 - kRound_mm);
    EXPECT_LE(bore.high.y, ridge.high.y - 2 + kRound_mm);
  }
  std::vector<Tool> ridges, drills;
  for (const Solid& s : flanges[0].ridges) ridges.push_back({"", s});
  for (const Solid& s : flanges[0].drills) drills.push_back({"", s});
  const auto shaped = combine(wall.whole, ridges, drills);
  ASSERT_TRUE(shaped) << shaped.error().message;
  const auto halves = plane_cut(*shaped, wall.pair.plan.seams[0].plane, to_id<SeamId>(1)).value();
  EXPECT_EQ(testing::float_crossings(*halves.above), 0u);
  EXPECT_EQ(testing::float_crossings(*halves.below), 0u);
  // By hand: a ridge of 9 x 8.2 below, less cylinders of 4 x 7.2 below and 3.4 x 3 above with 0.4
  // of the bore's mouth.
  const double n = static_cast<double>(flanges[0].holes.size()), pi = 3.14159265358979;
  const double sunk_mm3 = flanges[0].length_mm * 1;
  EXPECT_NEAR(
      volume_mm3(*halves.below),
      120 * 3 * 60 + (flanges[0].length_mm * ridge.size().y - sunk_mm3) * 8.2 - n * pi * 4 * 7.2,
      6);
  EXPECT_NEAR(volume_mm3(*halves.above),
              120 * 3 * 60 + (flanges[0].length_mm * ridge.size().y - sunk_mm3) * 3 -
                  n * pi * (4 * 0.4 + 1.7 * 1.7 * 2.6),
              4);
}

/// The thin wall with a shelf over its hidden side, 16 mm off the seam, above or below it, or both.
struct ShutWall : ThinWall {
  ShutWall(bool is_above, bool is_below) {
    std::vector<Tool> shelves;
    if (is_above) shelves.push_back({"", testing::make_box({120, 20, 3}, {0, 1, 16})});
    if (is_below) shelves.push_back({"", testing::make_box({120, 20, 3}, {0, 1, -19})});
    whole = combine(whole, shelves, {}).value();
    sight.clear();
    for (std::size_t f = 0; f < whole.face_count(); ++f)
      sight.push_back(whole.corners(to_id<FaceId>(f))[0].y > 1 ? 0.0 : 1.0);
  }
};

TEST(Flanges, HaveTheirScrewsWhereAKeyComesAtThem) {
  const FlangeRules rules{.screw = insert_size(InsertThread::m3), .has_inserts = true};
  EXPECT_EQ(ShutWall(false, true).flanges(rules).at(0).screw_side, Side::above);
  const Flange turned = ShutWall(true, false).flanges(rules).at(0);
  EXPECT_EQ(turned.screw_side, Side::below);
  EXPECT_GE(turned.holes.size(), 2u);
  EXPECT_NEAR(turned.drills.at(0).box().high.z, 7.2, 1e-9) << "inserts in the above piece then";
  const Flange shut = ShutWall(true, true).flanges(rules).at(0);
  EXPECT_TRUE(shut.holes.empty());
  EXPECT_TRUE(shut.drills.empty());
  EXPECT_GE(shut.shut_count, 2u);
  // A nut asks for less room than a key: 8 mm behind it are free.
  EXPECT_GE(ShutWall(false, true).flanges().at(0).holes.size(), 2u);
}

}  // namespace
}  // namespace seamwright
