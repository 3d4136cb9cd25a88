#include "seamwright/joints/skin_marks.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "joints/box_pair.h"
#include "joints/self_crossing.h"
#include "seamwright/cut/boolean.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

/// A wall of 3 mm, its side towards +y hidden, a seam at z = 0.
struct Wall {
  testing::PosedParts pair = testing::box_pair({120, 3, 60});
  Solid whole = testing::make_box({120, 3, 120}, {0, 0, -60});
  std::vector<double> sight;
  Wall() {
    for (std::size_t f = 0; f < whole.face_count(); ++f)
      sight.push_back(whole.area_normal(to_id<FaceId>(f)).y > 0 ? 0.0 : 1.0);
  }
  std::vector<SkinMark> marks(const Joinery& joinery = {}) const {
    return plan_skin_marks(pair.plan, pair.posed(), pair.faces, {&whole, sight}, joinery);
  }
};

TEST(SkinMarks, StandOnTheHiddenSkinOfBothPieces) {
  const auto marks = Wall().marks();
  ASSERT_EQ(marks.size(), 2u);
  EXPECT_EQ(marks[0].text, "A1 A2");
  EXPECT_EQ(marks[1].text, "A2 A1");
  for (const SkinMark& mark : marks) {
    EXPECT_NEAR(mark.at.y, 3, 1e-3);
    EXPECT_NEAR(mark.out.y, 1, 1e-9);
    EXPECT_GE(std::abs(mark.at.z), 10 + 3);  // beyond the strap
  }
}

TEST(SkinMarks, ReadAlongTheSeamFeetTowardsIt) {
  // Seen against `out`, x to the right is `along`, and up is out × along: away from the seam.
  for (const SkinMark& mark : Wall().marks()) {
    const Vec3 up = cross(mark.out, mark.along);
    EXPECT_NEAR(up.z, mark.at.z > 0 ? 1 : -1, 1e-9);
    EXPECT_NEAR(dot(mark.along, mark.out), 0, 1e-9);
  }
}

// Worn with y to the body: front is −y, up +z, so the wearer's left is +x.
TEST(SkinMarks, SayUpAndTheWearersSide) {
  const Wall wall;
  const auto marks =
      plan_skin_marks(wall.pair.plan, wall.pair.posed(), wall.pair.faces, {&wall.whole, wall.sight},
                      {}, {.up = Vec3{0, 0, 1}, .front = Vec3{0, -1, 0}});
  ASSERT_EQ(marks.size(), 2u);
  for (const SkinMark& mark : marks) {
    const Vec3 away = cross(mark.out, mark.along);
    const char arrow = mark.text.at(6);
    EXPECT_EQ(mark.text.substr(7), "U") << "the wall lies on both sides of the middle";
    EXPECT_EQ(arrow, away.z > 0 ? '^' : 'v');
  }
  Bearings turned{.up = normalized(Vec3{1, 0, 1}), .front = Vec3{0, -1, 0}};
  for (const SkinMark& mark : plan_skin_marks(wall.pair.plan, wall.pair.posed(), wall.pair.faces,
                                              {&wall.whole, wall.sight}, {}, turned)) {
    // The arrow as a direction in the part: within 22.5° of up.
    const Vec3 away = cross(mark.out, mark.along);
    const std::string by_eighth = ">/^\\<[v]";
    const double turn = static_cast<double>(by_eighth.find(mark.text.at(6))) * std::numbers::pi / 4;
    const Vec3 shown = mark.along * std::cos(turn) + away * std::sin(turn);
    EXPECT_GT(dot(shown, *turned.up), std::cos(std::numbers::pi / 8) - 1e-9) << mark.text;
  }
}

TEST(SkinMarks, AreEngravedAtTheirDepthWithoutCrossings) {
  const Wall wall;
  std::vector<Solid> tools;
  double area = 0;
  for (const SkinMark& mark : wall.marks()) {
    for (const Solid& tool : mark.tools) {
      EXPECT_FALSE(find_open_edge(tool.points(), tool.triangles()));
      EXPECT_NEAR(tool.box().low.y, 3 - 0.4, 1e-3);
      EXPECT_NEAR(tool.box().high.y, 3.6, 1e-3);
      area += volume_mm3(tool);  // a prism 1 mm high
      tools.push_back(tool);
    }
  }
  const auto engraved = subtract(wall.whole, tools);
  ASSERT_TRUE(engraved) << engraved.error().message;
  EXPECT_NEAR(volume_mm3(wall.whole) - volume_mm3(*engraved), 0.4 * area, 1e-2);
  EXPECT_EQ(testing::float_crossings(*engraved), 0u);
}

TEST(SkinMarks, AreLeftOutWhenNotWantedOrWhileTheHiddenSideIsUnknown) {
  const Wall wall;
  EXPECT_TRUE(wall.marks({.has_marks = false}).empty());
  EXPECT_TRUE(plan_skin_marks(wall.pair.plan, wall.pair.posed(), wall.pair.faces, {}, {}).empty());
}

}  // namespace
}  // namespace seamwright
