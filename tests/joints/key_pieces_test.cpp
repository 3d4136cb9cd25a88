#include "seamwright/joints/key_pieces.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "joints/box_pair.h"
#include "joints/self_crossing.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

using testing::box_pair;
using ::testing::HasSubstr;
using testing::keyed;
using testing::PosedParts;

TEST(KeyPieces, PutsTwoDowelsIntoABox) {
  PosedParts pair = box_pair({60, 40, 50});
  const KeyedPieces out = keyed(pair);
  ASSERT_EQ(out.joints.size(), 1u);
  EXPECT_EQ(out.joints[0].kind, KeyKind::dowel);
  EXPECT_GE(out.joints[0].keys.size(), 2u);
  EXPECT_TRUE(out.warnings.empty());
  for (std::size_t p = 0; p < 2; ++p) {
    const Solid& solid = out.solids[p];
    EXPECT_FALSE(find_open_edge(solid.points(), solid.triangles())) << p;
    EXPECT_NEAR(volume_mm3(solid), 60 * 40 * 50 + out.added_volume_mm3[p], 1e-6);
    EXPECT_LT(out.added_volume_mm3[p], -50);
    EXPECT_EQ(testing::float_crossings(solid), 0u) << p;
  }
}

TEST(KeyPieces, LeavesJointsThatAreShapedBeforeTheCutAlone) {
  PosedParts pair = box_pair({60, 40, 50});
  for (KeyKind kind : {KeyKind::lap, KeyKind::flange}) {
    const auto result = key_pieces(pair.plan, pair.posed(), pair.faces, {.key = kind});
    ASSERT_TRUE(result);
    EXPECT_TRUE(result->joints[0].keys.empty());
    EXPECT_TRUE(result->warnings.empty());
  }
}

TEST(KeyPieces, LeavesThinWallsWithoutKeysAndSaysSo) {
  PosedParts pair = box_pair({120, 3, 50});
  const KeyedPieces out = keyed(pair);
  EXPECT_TRUE(out.joints[0].keys.empty());
  EXPECT_EQ(out.joints[0].kind, KeyKind::none);
  ASSERT_EQ(out.warnings.size(), 1u);
  EXPECT_EQ(out.warnings[0].code, "joint-without-key");
  EXPECT_THAT(out.warnings[0].message, HasSubstr("A1 and A2"));
}

}  // namespace
}  // namespace seamwright
