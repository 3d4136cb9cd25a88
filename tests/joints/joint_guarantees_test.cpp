// The promises of key_pieces.h measured on the pieces themselves, by plain geometry of the tests'
// own.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <numbers>

#include "joints/box_pair.h"
#include "joints/self_crossing.h"
#include "seamwright/query/mass_properties.h"
#include "seamwright/query/ray_tree.h"

namespace seamwright {
namespace {

using testing::box_pair;
using testing::keyed;
using testing::pair_at_zero;
using testing::PosedParts;
using testing::turned_pose;

constexpr double kPlain = 1e-9;

/// A wall of the given width (along y) and length whose sides lean by `lean` along +y, from z = low
/// to high, its middle at y = 0 where z = 0.
Solid leaning_wall(double length, double width, Angle lean, double low, double high) {
  Solid box = testing::make_box({length, width, high - low}, {0, -width / 2, low});
  std::vector<Vec3> points(box.points().begin(), box.points().end());
  for (Vec3& p : points) p.y += p.z * std::tan(lean.radians());
  return Solid::adopt(std::move(points), {box.triangles().begin(), box.triangles().end()},
                      {box.origins().begin(), box.origins().end()});
}

PosedParts leaning_pair(double width, Angle lean) {
  return pair_at_zero(
      leaning_wall(80, width, lean, 0, 30), leaning_wall(80, width, lean, -30, 0),
      {{0, -width / 2, 0}, {80, -width / 2, 0}, {80, width / 2, 0}, {0, width / 2, 0}});
}

/// Distances of a key's walls (faces along its axis) to its axis, over a solid.
struct WallDistances {
  double least = 1e9, most = 0;
};
WallDistances wall_distances(const Solid& solid, std::uint32_t id, const Key& key) {
  WallDistances out;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    if (!(solid.origins()[f] == Origin{OriginKind::key, id})) continue;
    const Vec3 normal = normalized(solid.area_normal(to_id<FaceId>(f)));
    if (std::abs(dot(normal, key.axis)) > 1e-6) continue;
    const double d = std::abs(dot(solid.corners(to_id<FaceId>(f))[0] - key.at, normal));
    out = {std::min(out.least, d), std::max(out.most, d)};
  }
  return out;
}

TEST(Keys, HolesKeepTheClearanceRoundTheRod) {
  const PosedParts pair = box_pair({60, 40, 50});
  const KeyedPieces out = keyed(pair);
  for (std::uint32_t k = 0; k < out.joints[0].keys.size(); ++k) {
    const Key& key = out.joints[0].keys[k];
    EXPECT_DOUBLE_EQ(key.clearance_mm, 0.15);
    for (const Solid& solid : out.solids) {
      const WallDistances walls = wall_distances(solid, k, key);
      EXPECT_NEAR(walls.least, key.diameter_mm / 2 + 0.15, 1e-6);  // circumscribed: never narrower
      EXPECT_NEAR(walls.most, key.diameter_mm / 2 + 0.15, 1e-6);
    }
  }
}

TEST(Keys, RoundIsRoundToFiveMicrons) {
  const PosedParts pair = box_pair({60, 40, 50});
  const KeyedPieces out = keyed(pair, {.relief_mm = 0, .has_marks = false});
  std::uint32_t k = 0;
  for (const Key& key : out.joints[0].keys) {
    for (const Solid& solid : out.solids) {
      for (std::size_t f = 0; f < solid.face_count(); ++f) {
        if (!(solid.origins()[f] == Origin{OriginKind::key, k})) continue;
        for (Vec3 p : solid.corners(to_id<FaceId>(f))) {
          const Vec3 from = p - key.at;
          const double radius = norm(from - key.axis * dot(from, key.axis));
          EXPECT_GE(radius, key.diameter_mm / 2 + 0.15 - kPlain);
          EXPECT_LE(radius, key.diameter_mm / 2 + 0.15 + 0.005);
        }
      }
    }
    ++k;
  }
}

TEST(Keys, AHoleInALeaningWallStaysInside) {
  // A hole z deep in a wall leaning 30° drifts z·tan 30°: 3.5 mm at 6 mm (plane geometry).
  const double lean = std::numbers::pi / 6;
  EXPECT_NEAR(6 * std::tan(lean), 3.46, 0.01);
  const auto wall_left = [&](double width, double diameter, double depth) {
    return (width / 2 - depth * std::tan(lean) - (diameter / 2 + 0.15)) * std::cos(lean);
  };
  std::size_t with_keys = 0;
  for (double width : {5.0, 6.0, 7.0, 7.7, 8.4, 9.0, 10.0, 12.0, 15.0}) {
    const KeyedPieces out = keyed(leaning_pair(width, Angle::radians(lean)), {.has_marks = false});
    for (const Key& key : out.joints[0].keys) {
      EXPECT_GE(wall_left(width, key.diameter_mm, key.depth_mm), 1.2 - 1e-6) << width;
    }
    const bool has_room = wall_left(width, 1.75, 1.5 * 1.75) > 1.3;
    const bool has_none = wall_left(width, 1.75, 1.5 * 1.75) < 1.2;
    if (has_room) {
      EXPECT_GE(out.joints[0].keys.size(), 2u) << width;
    }
    if (has_none) {
      EXPECT_TRUE(out.joints[0].keys.empty()) << width;
    }
    with_keys += !out.joints[0].keys.empty();
  }
  EXPECT_GE(with_keys, 3u);
}

TEST(Keys, UprightWallsTakeTheFullDepth) {
  const KeyedPieces out = keyed(leaning_pair(5, {}), {.has_marks = false});
  ASSERT_GE(out.joints[0].keys.size(), 2u);
  for (const Key& key : out.joints[0].keys) {
    EXPECT_DOUBLE_EQ(key.diameter_mm, 1.75);
    EXPECT_DOUBLE_EQ(key.depth_mm, 2.5 * 1.75);
  }
}

TEST(Keys, LongFacesGetRows) {
  const KeyedPieces out = keyed(box_pair({400, 20, 50}), {.has_marks = false});
  const auto& keys = out.joints[0].keys;
  EXPECT_GE(keys.size(), 4u);
  for (double x = 0; x <= 400; x += 1) {  // no place further than 60 mm from a key
    double least = 1e9;
    for (const Key& key : keys) least = std::min(least, std::abs(key.at.x - x));
    EXPECT_LE(least, 62) << x;
  }
}

PosedParts lying_pair() {
  PosedParts pair = box_pair({60, 40, 50});
  const Transform lie =
      rotation({0, 1, 0}, Angle::degrees(90)) * rotation({0, 0, 1}, Angle::degrees(20));
  for (std::size_t i = 0; i < 2; ++i) pair.poses[i] = turned_pose(pair.pieces[i].solid, lie);
  return pair;
}

TEST(Keys, LyingHolesAreTeardropsThatNeedNoSupport) {
  const PosedParts pair = lying_pair();
  const KeyedPieces out = keyed(pair);
  ASSERT_GE(out.joints[0].keys.size(), 2u);
  for (std::size_t p = 0; p < 2; ++p) {
    const Transform& pose = out.poses[p].bed_from_part;
    for (std::uint32_t k = 0; k < out.joints[0].keys.size(); ++k) {
      const Key& key = out.joints[0].keys[k];
      const double radius = key.diameter_mm / 2 + 0.15 + 0.1;  // lying_hole_extra_mm
      EXPECT_NEAR(wall_distances(out.solids[p], k, key).least, radius, 1e-6);
      double top = -1e9;
      for (std::size_t f = 0; f < out.solids[p].face_count(); ++f) {
        if (!(out.solids[p].origins()[f] == Origin{OriginKind::key, k})) continue;
        const Vec3 normal = pose.rotate(normalized(out.solids[p].area_normal(to_id<FaceId>(f))));
        EXPECT_GE(normal.z, -std::numbers::sqrt2 / 2 - 1e-6);  // no ceiling flatter than 45°
        for (Vec3 c : out.solids[p].corners(to_id<FaceId>(f))) {
          top = std::max(top, pose.apply(c).z - pose.apply(key.at).z);
        }
      }
      EXPECT_NEAR(top, radius * std::numbers::sqrt2, 1e-6);
    }
    EXPECT_EQ(testing::float_crossings(out.solids[p]), 0u);
  }
}

TEST(Pins, StandOnThePieceWhoseFaceIsOffTheBed) {
  PosedParts pair = box_pair({60, 40, 50});
  pair.poses[1] = turned_pose(pair.pieces[1].solid, {});  // the lower one's cap points up
  const KeyedPieces out = keyed(pair, {.key = KeyKind::pin});
  EXPECT_TRUE(out.warnings.empty());
  ASSERT_EQ(out.joints[0].kind, KeyKind::pin);
  const RayTree female(out.solids[0]);
  for (std::uint32_t k = 0; k < out.joints[0].keys.size(); ++k) {
    const Key& key = out.joints[0].keys[k];
    EXPECT_EQ(key.male, to_id<PieceId>(1));
    EXPECT_GE(key.diameter_mm, 6);
    double nearest = 1e9, tip = 0;
    for (std::size_t f = 0; f < out.solids[1].face_count(); ++f) {
      if (!(out.solids[1].origins()[f] == Origin{OriginKind::key, k})) continue;
      for (Vec3 c : out.solids[1].corners(to_id<FaceId>(f))) {
        const Vec3 from = c - key.at;
        const double radius = norm(from - key.axis * dot(from, key.axis));
        EXPECT_LE(radius, key.diameter_mm / 2 + kPlain);  // inscribed
        tip = std::max(tip, dot(from, key.axis));
        if (dot(from, key.axis) < 1) continue;  // above the mouth's bevel
        EXPECT_FALSE(female.contains(c));
        nearest = std::min(nearest, female.nearest(c)->distance_mm);
      }
    }
    EXPECT_NEAR(nearest, 0.15, 0.02);
    EXPECT_NEAR(tip, key.depth_mm - 0.5, kPlain);
  }
  EXPECT_NEAR(out.poses[1].size_mm.z, 50 + out.joints[0].keys[0].depth_mm - 0.5, 1e-9);
}

TEST(Pins, ThatDoNotFitThePoseBecomeDowels) {
  PosedParts pair = box_pair({60, 40, 50});
  pair.poses[1] = turned_pose(pair.pieces[1].solid, {});
  pair.usable_mm = {60, 40, 55};
  const KeyedPieces out = keyed(pair, {.key = KeyKind::pin});
  EXPECT_EQ(out.joints[0].kind, KeyKind::dowel);
  ASSERT_EQ(out.warnings.size(), 1u);
  EXPECT_EQ(out.warnings[0].code, "key-does-not-fit-pose");
  EXPECT_EQ(out.poses[1].size_mm, pair.poses[1].size_mm);
}

TEST(Pins, AtTheSideMoveThePieceOnItsBed) {
  const PosedParts pair = lying_pair();
  const KeyedPieces out = keyed(pair, {.key = KeyKind::pin});
  ASSERT_EQ(out.joints[0].kind, KeyKind::pin);
  for (std::size_t p = 0; p < 2; ++p) {
    Box3 box;
    for (Vec3 v : out.solids[p].points()) box.extend(out.poses[p].bed_from_part.apply(v));
    EXPECT_NEAR(box.low.x, 5, 1e-9);
    EXPECT_NEAR(box.low.y, 5, 1e-9);
    EXPECT_NEAR(box.low.z, 0, 1e-9);
    EXPECT_NEAR(norm(box.size() - out.poses[p].size_mm), 0, 1e-9);
  }
}

TEST(Relief, TakesABevelOffTheRimOnTheBed) {
  const KeyedPieces out = keyed(box_pair({60, 40, 50}), {.key = KeyKind::none, .has_marks = false});
  // 0.4 · 2400 less the integral of (60 - 2t)(40 - 2t) over t = 0 … 0.4.
  const double removed = 100 * 0.16 - 4.0 / 3 * 0.064;
  for (const Solid& solid : out.solids) {
    // The flat filling may cut a corner's last half millimetre instead of folding along its
    // diagonal.
    EXPECT_NEAR(volume_mm3(solid), 60 * 40 * 50 - removed, 0.02);
    EXPECT_FALSE(find_open_edge(solid.points(), solid.triangles()));
    EXPECT_EQ(testing::float_crossings(solid), 0u);
  }
}

TEST(Marks, StandInTheirBoxAtTheirDepth) {
  const KeyedPieces out = keyed(box_pair({60, 40, 50}));
  ASSERT_EQ(out.marks.size(), 2u);
  EXPECT_EQ(out.marks[0].text, "A1");
  EXPECT_EQ(out.marks[1].text, "A2");
  for (std::uint32_t m = 0; m < 2; ++m) {
    const Vec3 outward{0, 0, m == 0 ? -1.0 : 1.0};
    const Vec3 along = out.marks[m].along, up = cross(outward, along);
    EXPECT_DOUBLE_EQ(out.marks[m].height_mm, 6);
    double left = 0, right = 0, lowest = 1e9, highest = -1e9, deepest = 0;
    for (std::size_t f = 0; f < out.solids[m].face_count(); ++f) {
      if (!(out.solids[m].origins()[f] == Origin{OriginKind::mark, m})) continue;
      for (Vec3 c : out.solids[m].corners(to_id<FaceId>(f))) {
        const Vec3 from = c - out.marks[m].at;
        left = std::min(left, dot(from, along));
        right = std::max(right, dot(from, along));
        lowest = std::min(lowest, dot(from, up));
        highest = std::max(highest, dot(from, up));
        deepest = std::min(deepest, dot(from, outward));
      }
    }
    EXPECT_NEAR(left, -4.65, 0.01);
    EXPECT_NEAR(highest, 3, 0.02);
    EXPECT_NEAR(lowest, -3, 0.01);
    EXPECT_NEAR(deepest, -0.4, 1e-9);
  }
}

/// Whether a point of the cap is engraved.
bool is_inked(const Solid& solid, Vec3 at, Vec3 outward) {
  const RayTree tree(solid);
  const auto hit = tree.first_hit(at + outward * 1, -outward);
  return hit && std::abs(hit->distance_mm - 1.4) < 1e-3;
}

TEST(Marks, AnLHasItsFootAtTheLowerRight) {
  PosedParts pair = box_pair({60, 40, 50});
  auto posed = pair.posed();
  for (PosedPiece& p : posed) p.mark = "L";
  const KeyedPieces out = key_pieces(pair.plan, posed, pair.faces, {}).value();
  ASSERT_EQ(out.marks.size(), 2u);
  for (std::size_t m = 0; m < 2; ++m) {
    const Vec3 outward{0, 0, m == 0 ? -1.0 : 1.0};
    const Vec3 at = out.marks[m].at, along = out.marks[m].along, up = cross(outward, along);
    EXPECT_TRUE(is_inked(out.solids[m], at - along * 1.6 + up * 2.5, outward));  // the stem's head
    EXPECT_TRUE(is_inked(out.solids[m], at + along * 1.6 - up * 2.5, outward));  // the foot's tip
    EXPECT_FALSE(is_inked(out.solids[m], at + along * 1.6 + up * 2.5, outward));
    EXPECT_FALSE(is_inked(out.solids[m], at, outward));
  }
}

TEST(Marks, EveryGlyphIsCutCleanly) {
  PosedParts pair = box_pair({60, 40, 50});
  for (const char* text : {"ABC", "DEF", "GHI", "JKL", "MNO", "PQR", "STU", "VWX", "YZ0", "123",
                           "456", "789", "^v<", ">/\\", "[]"}) {
    auto posed = pair.posed();
    for (PosedPiece& p : posed) p.mark = text;
    const KeyedPieces out = key_pieces(pair.plan, posed, pair.faces, {}).value();
    ASSERT_EQ(out.marks.size(), 2u) << text;
    for (std::size_t p = 0; p < 2; ++p) {
      EXPECT_NEAR(volume_mm3(out.solids[p]), 60 * 40 * 50 + out.added_volume_mm3[p], 1e-6);
      EXPECT_EQ(testing::float_crossings(out.solids[p]), 0u) << text;
    }
  }
}

}  // namespace
}  // namespace seamwright
