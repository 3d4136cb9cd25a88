// Keys of pieces that are printed already.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "joints/box_pair.h"
#include "joints/self_crossing.h"

namespace seamwright {
namespace {

using testing::box_pair;
using testing::PosedParts;

KeyedPieces keyed_beside(const PosedParts& parts, std::vector<KeptKey> keys,
                         const Joinery& joinery = {}, std::size_t piece = 0) {
  const KeptPiece kept{to_id<PieceId>(piece), std::move(keys)};
  return key_pieces(parts.plan, parts.posed(), parts.faces, joinery, {}, {}, {&kept, 1}).value();
}

/// Three places that no layout would choose: crowded into one corner.
std::vector<KeptKey> crowded(KeyKind kind, double diameter_mm, double depth_mm) {
  std::vector<KeptKey> keys;
  for (const Vec3 at : {Vec3{12, 11, 0}, Vec3{12, 27, 0}, Vec3{29, 12, 0}})
    keys.push_back({kind, at, diameter_mm, depth_mm, true});
  return keys;
}

void expect_as_kept(const Joint& joint, const std::vector<KeptKey>& kept) {
  ASSERT_EQ(joint.keys.size(), kept.size());
  for (std::size_t k = 0; k < kept.size(); ++k) {
    EXPECT_LT(norm(joint.keys[k].at - kept[k].at), 1e-9) << k;
    EXPECT_EQ(joint.keys[k].diameter_mm, kept[k].diameter_mm);
    EXPECT_EQ(joint.keys[k].depth_mm, kept[k].depth_mm);
    EXPECT_EQ(joint.keys[k].kind, kept[k].kind);
  }
}

TEST(KeptKeys, StayWhereTheyAreAsDeepAndAsWide) {
  const PosedParts pair = box_pair({80, 50, 50});
  const std::vector<KeptKey> kept = crowded(KeyKind::dowel, 3, 6.5);
  for (const std::size_t printed : {0, 1}) {
    const KeyedPieces out = keyed_beside(pair, kept, {}, printed);
    EXPECT_EQ(out.joints[0].kind, KeyKind::dowel);
    expect_as_kept(out.joints[0], kept);
    for (const Solid& solid : out.solids) EXPECT_EQ(testing::float_crossings(solid), 0u);
  }
}

TEST(KeptKeys, OutweighTheKindThatIsAskedForNow) {
  const PosedParts pair = box_pair({80, 50, 50});
  const std::vector<KeptKey> kept = crowded(KeyKind::dowel, 4, 8);
  const KeyedPieces out = keyed_beside(pair, kept, {.key = KeyKind::pin});
  EXPECT_EQ(out.joints[0].kind, KeyKind::dowel);
  expect_as_kept(out.joints[0], kept);
}

TEST(KeptKeys, PinsGrowFromThePieceThatHasThem) {
  const PosedParts pair = box_pair({80, 50, 50});
  std::vector<KeptKey> kept = crowded(KeyKind::pin, 6, 7.5);
  EXPECT_EQ(keyed_beside(pair, kept).joints[0].keys[0].male, to_id<PieceId>(0));
  for (KeptKey& key : kept) key.grows_from_piece = false;
  const KeyedPieces out = keyed_beside(pair, kept);
  EXPECT_EQ(out.joints[0].kind, KeyKind::pin);
  EXPECT_EQ(out.joints[0].keys[0].male, to_id<PieceId>(1));
  expect_as_kept(out.joints[0], kept);
}

TEST(KeptKeys, MagnetsKeepTheirSeats) {
  const PosedParts pair = box_pair({80, 50, 50});
  const Joinery joinery{.key = KeyKind::magnet};
  const KeyedPieces before = testing::keyed(pair, joinery);
  std::vector<KeptKey> kept;
  for (const Key& key : before.joints[0].keys) {
    kept.push_back({key.kind, key.at, key.diameter_mm, key.depth_mm, false});
    if (key.kind == KeyKind::magnet) kept.back().at.x += 1.5;
  }
  for (const double diameter_mm : {6.0, 5.0}) {  // also when other discs are bought now
    const KeyedPieces out =
        keyed_beside(pair, kept, {.key = KeyKind::magnet, .magnet_diameter_mm = diameter_mm});
    EXPECT_EQ(out.joints[0].kind, KeyKind::magnet);
    expect_as_kept(out.joints[0], kept);
  }
}

TEST(KeptKeys, OneThatTheNeighbourHasNoRoomForIsLeftOut) {
  PosedParts pair = testing::pair_at_zero(testing::make_box({80, 50, 50}),
                                          testing::make_box({80, 50, 6}, {0, 0, -6}),
                                          {{0, 0, 0}, {80, 0, 0}, {80, 50, 0}, {0, 50, 0}});
  std::vector<KeptKey> kept = crowded(KeyKind::dowel, 3, 4.5);
  kept.back().depth_mm = 5.5;  // 0.5 mm of plastic behind it
  const KeyedPieces out = keyed_beside(pair, kept);
  kept.pop_back();
  expect_as_kept(out.joints[0], kept);
}

TEST(KeptKeys, APrintedPieceWithoutKeysChangesNothing) {
  const PosedParts pair = box_pair({80, 50, 50});
  const KeyedPieces alone = testing::keyed(pair);
  const KeyedPieces same = keyed_beside(pair, {});
  ASSERT_EQ(same.joints[0].keys.size(), alone.joints[0].keys.size());
  for (std::size_t k = 0; k < alone.joints[0].keys.size(); ++k)
    EXPECT_EQ(same.joints[0].keys[k].at, alone.joints[0].keys[k].at);
}

}  // namespace
}  // namespace seamwright
