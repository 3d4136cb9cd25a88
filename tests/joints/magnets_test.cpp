// Joints that come apart again: seats for disc magnets, poles marked.
#include <gtest/gtest.h>

#include "joints/box_pair.h"
#include "joints/self_crossing.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

using testing::box_pair;
using testing::PosedParts;

std::vector<Key> magnets_of(const KeyedPieces& out) {
  std::vector<Key> magnets;
  for (const Key& key : out.joints[0].keys)
    if (key.kind == KeyKind::magnet) magnets.push_back(key);
  return magnets;
}

TEST(Magnets, SitInPairsBesideDowelsInAJointThatComesApart) {
  const PosedParts pair = box_pair({80, 50, 50});
  const KeyedPieces out = testing::keyed(pair, {.key = KeyKind::magnet});
  EXPECT_EQ(out.joints[0].kind, KeyKind::magnet);
  EXPECT_FALSE(out.joints[0].is_glued);
  EXPECT_TRUE(out.warnings.empty());
  const auto magnets = magnets_of(out);
  EXPECT_GE(magnets.size(), 2u);
  EXPECT_GE(out.joints[0].keys.size(), magnets.size() + 2);
  for (std::size_t p = 0; p < 2; ++p) {
    EXPECT_FALSE(find_open_edge(out.solids[p].points(), out.solids[p].triangles()));
    EXPECT_EQ(testing::float_crossings(out.solids[p]), 0u);
    EXPECT_NEAR(volume_mm3(out.solids[p]),
                volume_mm3(pair.pieces[p].solid) + out.added_volume_mm3[p], 0.2);
  }
}

TEST(Magnets, SeatsAreATenthWiderAndTwoTenthsDeeperThanTheDisc) {
  // Common practice, from memory (CHECKS): disc magnets diameter + 0.1–0.2, depth + 0.2.
  const KeyedPieces out = testing::keyed(box_pair({80, 50, 50}), {.key = KeyKind::magnet});
  for (std::uint32_t k = 0; k < out.joints[0].keys.size(); ++k) {
    const Key& key = out.joints[0].keys[k];
    if (key.kind != KeyKind::magnet) continue;
    EXPECT_DOUBLE_EQ(key.depth_mm, 3.2);
    double deepest = 0, narrowest = 1e9;
    for (std::size_t f = 0; f < out.solids[0].face_count(); ++f) {
      if (!(out.solids[0].origins()[f] == Origin{OriginKind::key, k})) continue;
      const Vec3 normal = normalized(out.solids[0].area_normal(to_id<FaceId>(f)));
      for (Vec3 p : out.solids[0].corners(to_id<FaceId>(f))) {
        deepest = std::max(deepest, p.z);
        if (std::abs(normal.z) < 1e-9 && p.z > 1)
          narrowest = std::min(narrowest, std::abs(dot(p - key.at, normal)));
      }
    }
    EXPECT_NEAR(deepest, 3.2, 1e-9);
    EXPECT_NEAR(2 * narrowest, 6.15, 1e-6);
  }
}

TEST(Magnets, TakeTurnsInTheirPoles) {
  const KeyedPieces out = testing::keyed(box_pair({120, 60, 50}), {.key = KeyKind::magnet});
  std::vector<bool> north;
  for (std::size_t k = 0; k < out.joints[0].keys.size(); ++k) {
    if (out.joints[0].keys[k].kind == KeyKind::magnet)
      north.push_back(shows_north_above(out.joints[0].keys, k));
  }
  ASSERT_GE(north.size(), 2u);
  for (std::size_t i = 1; i < north.size(); ++i) EXPECT_NE(north[i], north[i - 1]);
}

TEST(Magnets, EachPairHasOneDimpleOnTheSideThatShowsNorth) {
  const KeyedPieces out = testing::keyed(box_pair({80, 50, 50}), {.key = KeyKind::magnet});
  for (std::uint32_t k = 0; k < out.joints[0].keys.size(); ++k) {
    const Key& key = out.joints[0].keys[k];
    if (key.kind != KeyKind::magnet) continue;
    std::array<std::size_t, 2> beside{};
    for (std::size_t p = 0; p < 2; ++p) {
      for (std::size_t f = 0; f < out.solids[p].face_count(); ++f) {
        if (!(out.solids[p].origins()[f] == Origin{OriginKind::key, k})) continue;
        const Vec3 from = out.solids[p].corners(to_id<FaceId>(f))[0] - key.at;
        beside[p] += norm(from - key.axis * dot(from, key.axis)) > 3.9;
      }
    }
    const bool north = shows_north_above(out.joints[0].keys, k);
    EXPECT_GT(beside[north ? 0 : 1], 8u);
    EXPECT_EQ(beside[north ? 1 : 0], 0u);
  }
}

TEST(Magnets, AJointWithoutRoomForThemSaysSo) {
  const KeyedPieces out = testing::keyed(box_pair({80, 6, 50}), {.key = KeyKind::magnet});
  ASSERT_FALSE(out.warnings.empty());
  EXPECT_EQ(out.warnings[0].code, "travel-joint-loose");
}

}  // namespace
}  // namespace seamwright
