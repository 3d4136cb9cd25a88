// Tongues and grooves built into caps, measured on the pieces.
#include <gtest/gtest.h>

#include "joints/box_pair.h"
#include "joints/self_crossing.h"
#include "seamwright/query/mass_properties.h"
#include "seamwright/query/ray_tree.h"

namespace seamwright {
namespace {

using testing::box_pair;
using testing::PosedParts;

/// The lower piece's cap points up, so that it can bear the tongue.
PosedParts wall(double width_mm) {
  PosedParts pair = box_pair({150, width_mm, 50});
  pair.poses[1] = testing::turned_pose(pair.pieces[1].solid, {});
  return pair;
}

TEST(Tongues, FillTheirGroovesLessTheClearance) {
  const PosedParts pair = wall(6);
  const KeyedPieces out = testing::keyed(pair, {.key = KeyKind::tongue});
  ASSERT_EQ(out.joints[0].kind, KeyKind::tongue);
  ASSERT_GE(out.joints[0].keys.size(), 2u);
  const RayTree female(out.solids[0]);
  for (std::uint32_t k = 0; k < out.joints[0].keys.size(); ++k) {
    const Key& key = out.joints[0].keys[k];
    EXPECT_EQ(key.male, to_id<PieceId>(1));
    double nearest = 1e9, tip = 0;
    for (std::size_t f = 0; f < out.solids[1].face_count(); ++f) {
      if (!(out.solids[1].origins()[f] == Origin{OriginKind::key, k})) continue;
      for (Vec3 p : out.solids[1].corners(to_id<FaceId>(f))) {
        tip = std::max(tip, p.z);
        if (p.z < 1 || p.z > key.depth_mm - 1) continue;
        EXPECT_FALSE(female.contains(p));
        nearest = std::min(nearest, female.nearest(p)->distance_mm);
      }
    }
    EXPECT_NEAR(tip, key.depth_mm - 0.5, 1e-9);
  }
}

TEST(Tongues, GrooveAndTongueAreTheClearanceApart) {
  const KeyedPieces out = testing::keyed(wall(6), {.key = KeyKind::tongue});
  const RayTree female(out.solids[0]);
  const Solid& male = out.solids[1];
  for (std::size_t f = 0; f < male.face_count(); ++f) {
    if (male.origins()[f].kind != OriginKind::key) continue;
    const Vec3 normal = normalized(male.area_normal(to_id<FaceId>(f)));
    if (std::abs(normal.z) > 1e-6) continue;  // its sides
    const auto c = male.corners(to_id<FaceId>(f));
    Vec3 middle = (c[0] + c[1] + c[2]) / 3;
    if (middle.z < 0.8) continue;  // over the mouth's bevel
    const auto hit = female.first_hit(middle, normal, 0);
    ASSERT_TRUE(hit);
    EXPECT_NEAR(hit->distance_mm, 0.15, 0.02);
  }
}

TEST(Tongues, KeepTheirLips) {
  const KeyedPieces out = testing::keyed(wall(6), {.key = KeyKind::tongue});
  for (const Key& key : out.joints[0].keys) {
    double lip_mm = 1e9;
    for (Vec3 p : key.outline) lip_mm = std::min({lip_mm, p.y, 6 - p.y});
    EXPECT_GE(key.lip_mm, 1.2 - 0.05);
    EXPECT_LE(key.lip_mm, lip_mm + 1e-3);
    for (Vec3 p : key.outline) {
      EXPECT_GE(p.y, 1.2 - 1e-3);
      EXPECT_LE(p.y, 4.8 + 1e-3);
    }
  }
}

/// The wall with a closed hollow over the middle of the upper piece's cap, a millimetre wide.
PosedParts hollow_wall(double width_mm, double from_mm) {
  PosedParts pair = wall(width_mm);
  const Solid hollow = testing::make_box({130, 1, 1}, {10, width_mm / 2 - 0.5, from_mm});
  const Solid& upper = pair.pieces[0].solid;
  std::vector<Vec3> points(upper.points().begin(), upper.points().end());
  std::vector<Triangle> triangles(upper.triangles().begin(), upper.triangles().end());
  std::vector<Origin> origins(upper.origins().begin(), upper.origins().end());
  for (const Triangle& t : hollow.triangles()) {
    const auto moved = [&](VertexId v) { return to_id<VertexId>(to_index(v) + points.size()); };
    triangles.push_back({moved(t[0]), moved(t[2]), moved(t[1])});
    origins.push_back({OriginKind::channel, 0});
  }
  points.insert(points.end(), hollow.points().begin(), hollow.points().end());
  pair.pieces[0].solid = Solid::adopt(std::move(points), std::move(triangles), std::move(origins));
  return pair;
}

// The hollow is farther from the groove's wall than its lip, but not from the middle of its floor.
TEST(Tongues, KeepTheirLipUnderAWideFloor) {
  for (const double from_mm : {4.2, 4.6, 5.5}) {
    const KeyedPieces out = testing::keyed(hollow_wall(14, from_mm), {.key = KeyKind::tongue});
    for (const Key& key : out.joints[0].keys) EXPECT_LE(key.depth_mm + 1.2, from_mm) << from_mm;
    EXPECT_EQ(out.joints[0].kind, KeyKind::tongue) << from_mm;
  }
}

TEST(Tongues, LeaveClosedUncrossedPiecesOfTheComputedVolume) {
  for (double width : {5.0, 6.0, 8.0}) {
    const PosedParts pair = wall(width);
    const KeyedPieces out = testing::keyed(pair, {.key = KeyKind::tongue});
    EXPECT_EQ(out.joints[0].kind, KeyKind::tongue) << width;
    for (std::size_t p = 0; p < 2; ++p) {
      EXPECT_FALSE(find_open_edge(out.solids[p].points(), out.solids[p].triangles()));
      EXPECT_EQ(testing::float_crossings(out.solids[p]), 0u);
      EXPECT_NEAR(volume_mm3(out.solids[p]),
                  volume_mm3(pair.pieces[p].solid) + out.added_volume_mm3[p], 1e-6 * 1e5);
    }
    EXPECT_NEAR(out.poses[1].size_mm.z, 50 + out.joints[0].keys[0].depth_mm - 0.5, 1e-9);
  }
}

TEST(Tongues, AreNotChosenByThemselvesInWallsUnderFiveMillimetres) {
  for (const double width_mm : {3.0, 3.4, 4.5})
    EXPECT_NE(testing::keyed(wall(width_mm)).joints[0].kind, KeyKind::tongue) << width_mm;
}

// Own prototypes (JOINTS): tongue 1.0 x 1.5 in 3 mm leaves lips of 0.85 mm.
TEST(Tongues, InThreeMillimetresLeaveLipsOfEightTenthsWhereAskedForAndAreTold) {
  const PosedParts pair = wall(3);
  const KeyedPieces out = testing::keyed(pair, {.key = KeyKind::tongue});
  ASSERT_EQ(out.joints[0].kind, KeyKind::tongue);
  double low_mm = 1e9, high_mm = -1e9, length_mm = 0;
  for (const Key& key : out.joints[0].keys) {
    EXPECT_NEAR(key.depth_mm, 2.0, 1e-9);
    length_mm += key.length_mm;
    for (Vec3 p : key.outline) low_mm = std::min(low_mm, p.y), high_mm = std::max(high_mm, p.y);
  }
  EXPECT_NEAR(low_mm, 0.85, 0.02);
  EXPECT_NEAR(3 - high_mm, 0.85, 0.02);
  EXPECT_GT(length_mm, 120);
  EXPECT_NEAR(out.solids[1].box().high.z, 1.5, 1e-9);
  for (std::size_t p = 0; p < 2; ++p) {
    EXPECT_FALSE(find_open_edge(out.solids[p].points(), out.solids[p].triangles()));
    EXPECT_EQ(testing::float_crossings(out.solids[p]), 0u);
    EXPECT_NEAR(volume_mm3(out.solids[p]),
                volume_mm3(pair.pieces[p].solid) + out.added_volume_mm3[p], 1e-6 * 1e5);
  }
  ASSERT_EQ(out.warnings.size(), 1u);
  EXPECT_EQ(out.warnings[0].code, "tongue-lips-fragile");
  EXPECT_NE(out.warnings[0].message.find("0.80 mm thin"), std::string::npos)
      << out.warnings[0].message;
}

TEST(Tongues, GoRoundARingInSeveralParts) {
  const Solid upper = testing::make_tube(30, 24, 40);
  const Solid lower = upper.transformed({{Vec3{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {0, 0, -40}});
  PosedParts pair = testing::pair_at_zero(upper, lower, {{0, 0, 0}, {1, 0, 0}, {0, 1, 0}});
  pair.faces = find_joint_faces(pair.plan, pair.pieces).value();
  ASSERT_EQ(pair.faces.size(), 1u);
  pair.poses = {testing::turned_pose(pair.pieces[0].solid, {}),
                testing::turned_pose(pair.pieces[1].solid, {})};
  const KeyedPieces out = testing::keyed(pair, {.key = KeyKind::tongue});
  EXPECT_EQ(out.joints[0].kind, KeyKind::tongue);
  EXPECT_GE(out.joints[0].keys.size(), 2u);
  for (const Solid& solid : out.solids) EXPECT_EQ(testing::float_crossings(solid), 0u);
}

}  // namespace
}  // namespace seamwright
