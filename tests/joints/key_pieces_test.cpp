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

/// Two pairs of pieces, each meeting in a corner of its own.
PosedParts two_corners() {
  PosedParts pairs = box_pair({2, 1, 50}), other = box_pair({3, 2, 50});
  for (CutPiece& piece : other.pieces) {
    piece.solid = piece.solid.transformed({{Vec3{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {9, 0, 0}});
    pairs.pieces.push_back(piece);
  }
  const PlaneFrame frame(pairs.plan.seams[0].plane);
  const Vec2 aside = frame.flatten({9, 0, 0}) - frame.flatten({});
  for (Vec2& p : other.faces[0].region.outer) p = p + aside;
  other.faces[0].above = to_id<PieceId>(2);
  other.faces[0].below = to_id<PieceId>(3);
  pairs.faces.push_back(other.faces[0]);
  pairs.poses.insert(pairs.poses.end(), other.poses.begin(), other.poses.end());
  return pairs;
}

TEST(KeyPieces, SaysInOneLineWhichCornersCarryNoKey) {
  const KeyedPieces out = keyed(two_corners());
  ASSERT_EQ(out.warnings.size(), 1u);
  EXPECT_EQ(out.warnings[0].code, "corners-without-key");
  EXPECT_THAT(out.warnings[0].message, HasSubstr("2 corners carry no key, glue only"));
  EXPECT_THAT(out.warnings[0].message, HasSubstr("A1 and A2 on seam S1 (2.0 mm²)"));
  EXPECT_THAT(out.warnings[0].message, HasSubstr("A3 and A4 on seam S1 (6.0 mm²)"));
}

}  // namespace
}  // namespace seamwright
