#include "seamwright/joints/flanges.h"

#include <gtest/gtest.h>

#include "joints/box_pair.h"
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
  std::vector<Flange> flanges() const {
    const std::vector<std::size_t> wanted{0};
    return plan_flanges(pair.plan, pair.posed(), pair.faces, wanted, {&whole, sight}, {});
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

}  // namespace
}  // namespace seamwright
