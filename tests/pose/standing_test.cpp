#include "seamwright/pose/standing.h"

#include <gtest/gtest.h>

#include "seamwright/cut/plane_cut.h"
#include "support/pieces.h"
#include "support/places.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using testing::expect_in_room;
using testing::make_box;
using testing::make_frustum;
using testing::random_polytope;
using testing::side_by_side;
using testing::subdivide;
using testing::with_cap;

constexpr SeamId kSeam{7};
constexpr Vec3 kRoom{180, 180, 180};

/// What is left of a room around an outline turned by `turn`.
double turned_spare_mm(const std::vector<Vec2>& outline, Angle turn, double width, double depth) {
  const double c = std::cos(turn.radians()), s = std::sin(turn.radians());
  double x0 = 1e9, x1 = -1e9, y0 = 1e9, y1 = -1e9;
  for (const Vec2 p : outline) {
    const Vec2 q{c * p.x - s * p.y, s * p.x + c * p.y};
    x0 = std::min(x0, q.x), x1 = std::max(x1, q.x);
    y0 = std::min(y0, q.y), y1 = std::max(y1, q.y);
  }
  return std::min(width - (x1 - x0), depth - (y1 - y0));
}

/// The most room left over a dense sampling of turns: what the calipers must not miss.
double sampled_spare_mm(const std::vector<Vec2>& outline, double width, double depth) {
  constexpr int kSteps = 1440;
  double best = -1e9;
  for (int i = 0; i < kSteps; ++i) {
    const Angle turn = Angle::degrees(180.0 * i / kSteps);
    best = std::max(best, turned_spare_mm(outline, turn, width, depth));
  }
  return best;
}

std::vector<Vec2> random_outline(Random& random) {
  std::vector<Vec2> points;
  const double length = random.uniform(20, 250), width = random.uniform(1, 250);
  const double t = random.uniform(0, 6.3);
  for (std::size_t i = 0, n = 3 + random.below(20); i < n; ++i) {
    const double x = random.uniform(0, length), y = random.uniform(0, width);
    points.push_back({x * std::cos(t) - y * std::sin(t), x * std::sin(t) + y * std::cos(t)});
  }
  return convex_hull(points);
}

TEST(TurnToFit, NeverDeniesWhatDenseSamplingFinds) {
  Random random(11);
  std::size_t fitting = 0;
  for (int round = 0; round < 300; ++round) {
    const std::vector<Vec2> outline = random_outline(random);
    const double width = random.uniform(30, 200), depth = random.uniform(30, 200);
    const double sampled = sampled_spare_mm(outline, width, depth);
    const std::optional<Angle> turn = turn_to_fit(outline, width, depth);
    if (sampled >= 0) {
      EXPECT_TRUE(turn) << "round " << round;
    }
    if (!turn) continue;
    ++fitting;
    const double spare = turned_spare_mm(outline, *turn, width, depth);
    EXPECT_GE(spare, sampled - 1e-9) << "not the roomiest turn, round " << round;
    EXPECT_GE(spare, -2.001e-6);
  }
  EXPECT_GT(fitting, 50u);
  EXPECT_LT(fitting, 250u);
}

TEST(TurnToFit, IsExactToAHair) {
  Random random(12);
  for (int round = 0; round < 200; ++round) {
    const std::vector<Vec2> outline = random_outline(random);
    // In a huge square the roomiest turn is the one of the least square that holds the outline.
    const Angle turn = turn_to_fit(outline, 1000, 1000).value();
    const double side = 1000 - turned_spare_mm(outline, turn, 1000, 1000);
    EXPECT_TRUE(turn_to_fit(outline, side - 1e-7, side - 1e-7));
    EXPECT_FALSE(turn_to_fit(outline, side - 1e-5, side - 1e-5));
  }
}

TEST(TurnToFit, LaysABarAlongTheDiagonal) {
  // A bar of length l and width w at 45° is (l + w)/√2 both ways.
  const double longest = 180 * std::numbers::sqrt2 - 30;
  const auto bar = [](double l) { return std::vector<Vec2>{{0, 0}, {l, 0}, {l, 30}, {0, 30}}; };
  ASSERT_TRUE(turn_to_fit(bar(longest), 180, 180));
  EXPECT_FALSE(turn_to_fit(bar(longest + 1e-4), 180, 180));
  const double degrees = turn_to_fit(bar(longest), 180, 180)->degrees();
  EXPECT_NEAR(std::abs(std::remainder(degrees, 90)), 45, 1e-4);
}

TEST(TurnToFit, TurnsAQuarterWhenTheRoomLiesAcross) {
  const std::vector<Vec2> bar{{0, 0}, {100, 0}, {100, 10}, {0, 10}};
  ASSERT_TRUE(turn_to_fit(bar, 12, 101));
  EXPECT_GT(turned_spare_mm(bar, *turn_to_fit(bar, 12, 101), 12, 101), 0);
}

TEST(TurnToFit, TakesPointsAndSegments) {
  EXPECT_TRUE(turn_to_fit(std::vector<Vec2>{}, 1, 1));
  EXPECT_TRUE(turn_to_fit(std::vector<Vec2>{{3, 4}}, 1, 1));
  const std::vector<Vec2> segment{{0, 0}, {5, 0}};
  EXPECT_TRUE(turn_to_fit(segment, 3, 4));
  EXPECT_FALSE(turn_to_fit(segment, 3, 3.999));
}

TEST(StandingPoses, StandOnTheJointFaceFirst) {
  const Solid piece = with_cap(subdivide(make_box({60, 50, 40}), 2), {1, 0, 0}, kSeam);
  const std::vector<Pose> poses = standing_poses(piece, kRoom);
  ASSERT_FALSE(poses.empty());
  EXPECT_EQ(poses[0].foot, Foot::joint_face);
  EXPECT_EQ(poses[0].foot_seam, kSeam);
  EXPECT_NEAR(poses[0].contact_mm2, 50 * 40, 1e-6);
  EXPECT_NEAR(poses[0].size_mm.z, 60, 1e-9);
  EXPECT_NEAR(poses[0].slenderness_ratio, 60.0 / 40, 1e-9);
  EXPECT_NEAR(poses[0].tip_angle.radians(), std::atan2(20, 30), 1e-9);
  EXPECT_NEAR(poses[0].support_mm2, 0, 1e-9);
  EXPECT_TRUE(poses[0].is_stable);
  EXPECT_EQ(poses.size(), 6u) << "one joint face and five flat sides of 10 cm² and more";
  for (const Pose& pose : poses) expect_in_room(piece, pose.bed_from_part, kRoom);
}

TEST(StandingPoses, AreOrderedByFootThenSupportThenHeight) {
  const Solid piece = with_cap(make_box({60, 50, 40}), {0, 0, -1}, kSeam);
  const std::vector<Pose> poses = standing_poses(piece, kRoom);
  ASSERT_EQ(poses.size(), 6u);
  for (std::size_t i = 1; i < poses.size(); ++i) {
    const auto key = [](const Pose& p) { return std::tuple(p.foot, p.support_mm2, p.size_mm.z); };
    EXPECT_LE(key(poses[i - 1]), key(poses[i]));
  }
}

TEST(StandingPoses, TakeFlatSidesOfTenSquareCentimetresOnly) {
  EXPECT_FALSE(standing_poses(make_box({32, 32, 32}), kRoom, false).empty());
  EXPECT_TRUE(standing_poses(make_box({31, 31, 31}), kRoom, false).empty());
  const std::vector<Pose> poses = standing_poses(make_box({31, 31, 31}), kRoom, true);
  ASSERT_FALSE(poses.empty());
  EXPECT_EQ(poses[0].foot, Foot::supports) << "as a hull facet";
}

TEST(StandingPoses, FindAFlatSideAmongManyFaces) {
  const std::vector<Pose> poses =
      standing_poses(subdivide(make_box({60, 50, 40}), 5), kRoom, false);
  EXPECT_EQ(poses.size(), 6u);
}

TEST(StandingPoses, DoNotStandOnAFlatSideWithSomethingBelowIt) {
  const Solid table = make_box({60, 60, 35}, {0, 0, 5});
  const Solid stub = make_box({5, 5, 10}, {20, 20, 0});
  for (const Pose& pose : standing_poses(side_by_side(table, stub), kRoom, false)) {
    EXPECT_LT(dot(pose.bed_from_part.rows[2], {0, 0, 1}), 0.5) << "stands on the stub";
  }
}

TEST(StandingPoses, AskTheContactRule) {
  // Under 32 mm no side is a flat side, so only the joint face counts.
  const Solid fits = with_cap(make_box({20.1, 20, 20}), {0, 0, -1}, kSeam);
  const Solid small = with_cap(make_box({19.9, 20, 20}), {0, 0, -1}, kSeam);
  EXPECT_EQ(standing_poses(fits, kRoom, false).size(), 1u);
  EXPECT_TRUE(standing_poses(small, kRoom, false).empty());
}

TEST(StandingPoses, AskTheTipRule) {
  // Frustums on their small end, radius r, 80 wide at the top of 150: the centre of mass is at 91,
  // 96 and 102 mm for r = 20, 15, 10, so they tip at 12.4°, 8.9° and 5.6°.
  StandingRules rules;
  rules.least_contact_mm2 = 10;
  const auto stands = [&](double radius) {
    const Solid piece = with_cap(make_frustum(radius, 40, 150, 128), {0, 0, -1}, kSeam);
    const std::vector<Pose> poses = standing_poses(piece, kRoom, false, rules);
    return !poses.empty() && poses[0].foot == Foot::joint_face;
  };
  EXPECT_TRUE(stands(20));
  EXPECT_TRUE(stands(15));
  EXPECT_FALSE(stands(10));
}

TEST(StandingPoses, AskTheSlendernessRule) {
  // 8 widths of 21 are 168 mm; the tip rule would already end at 149, so it is relaxed here.
  StandingRules rules;
  rules.least_tip = Angle::degrees(1);
  rules.least_flat_side_mm2 = 1e9;
  const auto post = [](double h) { return with_cap(make_box({21, 21, h}), {0, 0, -1}, kSeam); };
  EXPECT_EQ(standing_poses(post(167), kRoom, false, rules).size(), 1u);
  EXPECT_TRUE(standing_poses(post(169), kRoom, false, rules).empty());
}

TEST(StandingPoses, RelaxForThinSheets) {
  StandingRules rules;
  rules.least_flat_side_mm2 = 1e9;
  const auto stands_on_edge = [&](double thick, double tall) {
    const Solid panel = with_cap(make_box({160, thick, tall}), {0, 0, -1}, kSeam);
    return !standing_poses(panel, kRoom, false, rules).empty();
  };
  EXPECT_TRUE(stands_on_edge(6, 80)) << "4.3° and 13.3 widths";
  EXPECT_FALSE(stands_on_edge(6, 90)) << "15 widths";
  EXPECT_FALSE(stands_on_edge(10, 120)) << "no sheet, 4.8°";
}

TEST(StandingPoses, ASlenderPostIsNoSheet) {
  // Twice the volume over the surface is 7.1 mm: thin by that measure, but as wide as it is deep.
  StandingRules rules;
  rules.least_contact_mm2 = 100;
  rules.least_flat_side_mm2 = 1e9;
  const Solid post = with_cap(make_box({15, 15, 150}), {0, 0, -1}, kSeam);
  EXPECT_TRUE(standing_poses(post, kRoom, false, rules).empty()) << "5.7°";
}

TEST(StandingPoses, DoNotStandOnAJointFaceWithSomethingBelowIt) {
  const Solid body = with_cap(make_box({40, 40, 40}), {0, 0, -1}, kSeam);
  const Solid leg = make_box({10, 10, 45}, {45, 0, -5});
  for (const Pose& pose : standing_poses(side_by_side(body, leg), kRoom)) {
    EXPECT_NE(pose.foot, Foot::joint_face);
  }
  const Solid flush = make_box({10, 10, 40}, {45, 0, -0.01});
  const std::vector<Pose> poses = standing_poses(side_by_side(body, flush), kRoom);
  ASSERT_FALSE(poses.empty());
  EXPECT_EQ(poses[0].foot, Foot::joint_face) << "a hundredth below is within the contact's reach";
  EXPECT_NEAR(poses[0].contact_mm2, 1700, 1e-6);
}

TEST(StandingPoses, MeasureTrueContact) {
  // A cone of 45° on its tip: the part within 0.02 mm of the bed has radius 0.02 more than the
  // tip's.
  StandingRules rules;
  rules.least_contact_mm2 = 0;
  const Solid piece = with_cap(make_frustum(20, 60, 40, 512), {0, 0, -1}, kSeam);
  const std::vector<Pose> poses = standing_poses(piece, kRoom, false, rules);
  ASSERT_FALSE(poses.empty());
  EXPECT_NEAR(poses[0].contact_mm2, std::numbers::pi * 20.02 * 20.02, 0.1);
}

TEST(StandingPoses, MeasureSupportOfOverhangs) {
  // A plate on a column, as two shells: its whole underside hangs over.
  const Solid column = with_cap(make_box({40, 40, 30}), {0, 0, -1}, kSeam);
  const Solid plate = make_box({100, 100, 10}, {-30, -30, 30});
  const std::vector<Pose> poses = standing_poses(side_by_side(column, plate), kRoom);
  ASSERT_FALSE(poses.empty());
  ASSERT_EQ(poses[0].foot, Foot::joint_face);
  EXPECT_NEAR(poses[0].support_mm2, 100 * 100, 1e-6);
}

TEST(StandingPoses, CountSupportFromTheAngleOn) {
  // Frustums widening upward by 50 in 40 and in 60 of height: sides 38.7° and 50.2° from the
  // horizontal.
  const auto support_mm2 = [](double height) {
    const Solid piece = with_cap(make_frustum(30, 80, height, 256), {0, 0, -1}, kSeam);
    return standing_poses(piece, kRoom).at(0).support_mm2;
  };
  const double slant = std::hypot(50, 40) * std::numbers::pi * 110;
  EXPECT_NEAR(support_mm2(40), slant, 1e-3 * slant);
  EXPECT_EQ(support_mm2(60), 0);
}

TEST(StandingPoses, AcceptAPieceThatFillsTheRoomExactly) {
  const auto first_foot = [](Vec3 size) {
    const Solid piece = with_cap(make_box(size), {0, 0, -1}, kSeam);
    const std::vector<Pose> poses = standing_poses(piece, kRoom);
    return poses.empty() ? std::optional<Foot>{} : poses[0].foot;
  };
  EXPECT_EQ(first_foot({180, 180, 180}), Foot::joint_face);
  EXPECT_EQ(first_foot({180 + 1e-7, 180 + 1e-7, 180 + 1e-7}), Foot::joint_face) << "rounding only";
  EXPECT_EQ(first_foot({180 + 1e-5, 180, 180}), std::nullopt);
}

TEST(StandingPoses, AcceptARoomFillingPieceInAnyPartFrame) {
  Random random(3);
  constexpr Vec3 kLowRoom{180, 180, 100};
  for (int round = 0; round < 50; ++round) {
    const Transform turned = rotation(random.direction(), Angle::degrees(random.uniform(0, 360)));
    const Solid piece = with_cap(make_box(kLowRoom), {0, 0, -1}, kSeam).transformed(turned);
    const std::vector<Pose> poses = standing_poses(piece, kLowRoom, false);
    ASSERT_FALSE(poses.empty());
    expect_in_room(piece, poses[0].bed_from_part, kLowRoom);
  }
}

TEST(StandingPoses, NeverAcceptFalsely) {
  Random random(5);
  std::size_t posed = 0, refused = 0;
  for (int round = 0; round < 300; ++round) {
    const Solid piece = random_polytope(random, 8 + random.below(60), {200, 150, 100});
    const Vec3 room{random.uniform(80, 200), random.uniform(80, 200), random.uniform(60, 200)};
    const std::vector<Pose> poses = standing_poses(piece, room);
    (poses.empty() ? refused : posed) += 1;
    for (const Pose& pose : poses) {
      expect_in_room(piece, pose.bed_from_part, room);
      EXPECT_TRUE(pose.is_stable);
      EXPECT_GE(pose.tip_angle.degrees(), 8);
    }
  }
  EXPECT_GT(posed, 30u);
  EXPECT_GT(refused, 30u);
}

TEST(StandingPoses, LayFifthsOfTheRodFlat) {
  // 1000 × 30 × 20 in a cube of 180: at 45° on its 20 mm side a piece takes (l + 20)/√2 ≤ 180, so
  // l ≤ 234.558; on end, 200 mm on 6 cm² break height and tip.
  const auto piece = [](double length) {
    return with_cap(subdivide(make_box({length, 30, 20}), 3), {1, 0, 0}, kSeam);
  };
  const std::vector<Pose> poses = standing_poses(piece(200), kRoom, false);
  ASSERT_FALSE(poses.empty());
  EXPECT_EQ(poses[0].foot, Foot::flat_side);
  EXPECT_NEAR(poses[0].contact_mm2, 6000, 1e-6);
  EXPECT_FALSE(standing_poses(piece(234.5), kRoom, false).empty());
  EXPECT_TRUE(standing_poses(piece(234.6), kRoom, true).empty());
  EXPECT_TRUE(standing_poses(piece(250), kRoom, true).empty());
}

/// Both halves of every solid, cut by one plane.
std::vector<Solid> halved(const std::vector<Solid>& solids, const Plane& plane, SeamId seam) {
  std::vector<Solid> out;
  for (const Solid& solid : solids) {
    CutHalves halves = plane_cut(solid, plane, seam).value();
    if (halves.above) out.push_back(std::move(*halves.above));
    if (halves.below) out.push_back(std::move(*halves.below));
  }
  return out;
}

/// The plane square to the reference panel's bow (60 mm over 900) at x.
Plane square_to_panel(double x) {
  const double t = std::numbers::pi * (x + 450) / 900;
  const Vec3 along = normalized({1, 0, 60 * std::numbers::pi / 900 * std::cos(t)});
  return {along, dot(along, {x, 0, 60 * std::sin(t) - 3})};
}

TEST(StandingPoses, StandTwelfthsOfTheBentPanelOnTheirCuts) {
  // The reference panel, 900 × 320 × 6, cut square to its bow into 150 × 160: a cut across the bend
  // is an arc of 6 mm, 8 mm deep, on which only a thin sheet may stand.
  const std::string bytes = testing::file_bytes(testing::parts_dir() + "/panel.stl");
  std::vector<Solid> pieces{Solid::make(testing::read_binary_stl(bytes)).value()};
  std::uint32_t seam = 1;
  for (const double x : {-300.0, -150.0, 0.0, 150.0, 300.0}) {
    pieces = halved(pieces, square_to_panel(x), SeamId{++seam});
  }
  pieces = halved(pieces, {{0, 1, 0}, 0}, SeamId{1});
  ASSERT_EQ(pieces.size(), 12u);
  StandingRules strict;
  strict.sheet_tip = strict.least_tip;
  for (const Solid& piece : pieces) {
    const std::vector<Pose> poses = standing_poses(piece, kRoom, false);
    ASSERT_FALSE(poses.empty());
    EXPECT_EQ(poses[0].foot, Foot::joint_face);
    EXPECT_NE(poses[0].foot_seam, SeamId{1}) << "the long cut is nearly straight";
    expect_in_room(piece, poses[0].bed_from_part, kRoom);
    EXPECT_TRUE(standing_poses(piece, kRoom, false, strict).empty());
  }
}

/// 30 mm of a profile 100 wide whose underside is bent by 1.5°: 60 mm of it level, then 40 rising.
Solid bent_underside() {
  const double rise = 40 * std::tan(Angle::degrees(1.5).radians());
  const std::array<Vec2, 5> profile{{{0, 0}, {60, 0}, {100, rise}, {100, 50}, {0, 30}}};
  TriangleSoup soup;
  for (const double y : {0.0, 30.0}) {
    for (const Vec2 p : profile) soup.points.push_back({p.x, y, p.y});
  }
  const auto add = [&](std::size_t a, std::size_t b, std::size_t c) {
    soup.triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(b), to_id<VertexId>(c)});
  };
  for (std::size_t i = 0; i < 5; ++i) {
    const std::size_t j = (i + 1) % 5;
    add(i, i + 5, j + 5);
    add(i, j + 5, j);
    if (i == 0 || j == 0) continue;
    add(0, i, j);
    add(5, j + 5, i + 5);
  }
  return Solid::make(std::move(soup)).value();
}

TEST(StandingPoses, WhatFitsOnASmallFacetBesideALargerOneIsSeen) {
  // Closed form: on the level facet it is 50 mm high, on the rising one 50 cos 1.5° - 40 sin 1.5°.
  const Solid solid = bent_underside();
  StandingRules rules;
  rules.least_flat_side_mm2 = 1e5;  // so that it may lie on facets of its hull only
  const std::vector<Pose> poses = standing_poses(solid, {102, 32, 49.5}, true, rules);
  ASSERT_EQ(poses.size(), 1U);
  EXPECT_EQ(poses[0].foot, Foot::supports);
  EXPECT_NEAR(poses[0].size_mm.z, 48.936, 0.01);
  EXPECT_TRUE(standing_poses(solid, {102, 32, 48.9}, true, rules).empty());
}

}  // namespace
}  // namespace seamwright
