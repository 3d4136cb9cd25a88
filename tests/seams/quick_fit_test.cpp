#include "seams/quick_fit.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "seams/far_points.h"
#include "seams/misfit.h"
#include "seams/search_mesh.h"
#include "seamwright/core/random.h"
#include "seamwright/cut/boolean.h"
#include "seamwright/pose/pose_probe.h"
#include "seamwright/pose/tilted.h"
#include "support/pieces.h"
#include "support/shapes.h"

namespace seamwright::search {
namespace {

using testing::make_box;
using testing::make_cylinder;
using testing::random_polytope;

FitRules cube_rules(double side_mm) {
  FitRules rules;
  rules.rooms_mm = {{side_mm, side_mm, side_mm}};
  return rules;
}

/// The one piece of a solid that is not cut.
PieceShape shape_of(const Solid& solid) {
  const std::vector<double> sight(solid.face_count(), 1.0), weight(solid.face_count(), 1.0);
  const SearchMesh mesh =
      make_search_mesh(solid, {sight, weight}, StandingRules{}.least_flat_side_mm2);
  std::vector<PieceShape> pieces = piece_shapes(whole_body(mesh), mesh);
  require(pieces.size() == 1, "the solid is one piece");
  return std::move(pieces.front());
}

TEST(QuickFit, ADirectionRollsOntoTheNearestSideOfABox) {
  // Closed form: of the three sides at the lowest corner, the nearest is that of the largest
  // component.
  const Solid box = make_box({100, 60, 40});
  Random random(5);
  for (int i = 0; i < 200; ++i) {
    const Vec3 down = random.direction();
    std::size_t most = 0;
    for (const std::size_t axis : {1u, 2u}) {
      if (std::abs(down[axis]) > std::abs(down[most])) most = axis;
    }
    Vec3 side;
    side[most] = down[most] > 0 ? 1 : -1;
    const std::optional<Vec3> facet = hull_facet_near(box.points(), down);
    ASSERT_TRUE(facet);
    EXPECT_NEAR(dot(*facet, side), 1, 1e-12) << "from " << down.x << " " << down.y << " " << down.z;
  }
}

/// Polytopes scaled so that what `fits` says of them is yes, and at 1 % larger no.
template <class Fits>
std::vector<Solid> all_but_too_large(int count, const Fits& fits) {
  Random random(11);
  std::vector<Solid> found;
  while (found.size() < static_cast<std::size_t>(count)) {
    const Vec3 size{random.uniform(60, 160), random.uniform(120, 200), random.uniform(150, 260)};
    const Solid solid = random_polytope(random, 40, size);
    const auto scaled = [&](double by) {
      std::vector<Vec3> points(solid.points().begin(), solid.points().end());
      for (Vec3& p : points) p = p * by;
      return testing::convex_solid(points);
    };
    double small = 0.3, large = 2;
    while (large / small > 1.01)
      (fits(scaled(std::sqrt(small * large))) ? small : large) = std::sqrt(small * large);
    found.push_back(scaled(small));
  }
  return found;
}

/// The share of the solids in which the quick judge sees that they fit.
double seen_to_fit(const std::vector<Solid>& solids, const FitRules& rules) {
  const auto seen = std::count_if(solids.begin(), solids.end(), [&](const Solid& solid) {
    return grade_fit(shape_of(solid), rules).fits();
  });
  return static_cast<double>(seen) / static_cast<double>(solids.size());
}

TEST(QuickFit, FindsMostOfWhatJustFitsOnSupports) {
  // Measured against the exact judge, which looks at every facet of the hull.
  const FitRules rules = cube_rules(180);
  const std::vector<Solid> solids = all_but_too_large(60, [&](const Solid& solid) {
    return best_standing_pose(solid, rules.rooms_mm, Foot::supports).pose.has_value();
  });
  EXPECT_GE(seen_to_fit(solids, rules), 0.85);
}

TEST(QuickFit, FindsMostOfWhatJustFitsTilted) {
  // Measured against tilt_to_fit: 360 rotations, the best of them refined.
  FitRules rules = cube_rules(180);
  rules.poses = Poses::tilted;
  const std::vector<Solid> solids = all_but_too_large(60, [&](const Solid& solid) {
    return tilt_to_fit(solid.points(), rules.rooms_mm[0]).has_value();
  });
  EXPECT_GE(seen_to_fit(solids, rules), 0.9);
}

TEST(QuickFit, APieceLiesAgainAsItLayBefore) {
  const PieceShape piece = shape_of(make_box({100, 60, 40}));
  const FitRules rules = cube_rules(180);
  const FitGrade first = grade_fit(piece, rules);
  ASSERT_TRUE(first.fits());
  const EarlierPose upright{Foot::flat_side, {1, 0, 0}};
  const FitGrade again = grade_fit(piece, rules, &upright);
  EXPECT_TRUE(again.fits());
  EXPECT_EQ(again.down, (Vec3{1, 0, 0}));
  EXPECT_EQ(again.foot, Foot::flat_side);
}

TEST(QuickFit, APoseThatNoLongerHoldsIsGivenUpForOneThatDoes) {
  // 100 mm tall as it lay, in a room 90 mm high.
  const PieceShape piece = shape_of(make_box({100, 60, 40}));
  FitRules rules = cube_rules(180);
  rules.rooms_mm = {{110, 110, 90}};
  const EarlierPose upright{Foot::flat_side, {1, 0, 0}};
  const FitGrade again = grade_fit(piece, rules, &upright);
  EXPECT_TRUE(again.fits());
  EXPECT_EQ(again.down, grade_fit(piece, rules).down);
}

TEST(QuickFit, APieceThatStaysAsBeforeFitsThatWayOrNotAtAll) {
  // As above: it would fit lying down.
  const PieceShape piece = shape_of(make_box({100, 60, 40}));
  FitRules rules = cube_rules(180);
  rules.rooms_mm = {{110, 110, 90}};
  rules.stays_as_before = true;
  const EarlierPose upright{Foot::flat_side, {1, 0, 0}};
  EXPECT_TRUE(std::isinf(grade_fit(piece, rules, &upright, 0.5).penalty_h));
  const FitGrade misfit = grade_fit(piece, rules, &upright);
  EXPECT_GT(misfit.penalty_h, 1);
  EXPECT_EQ(misfit.down, (Vec3{1, 0, 0}));
  EXPECT_TRUE(grade_fit(piece, rules, nullptr, 0.5).fits());
}

TEST(QuickFit, ATiltOfBeforeIsNoFootWherePiecesMustStand) {
  // Along the diagonal of a 180 mm cube, 312 mm long, there is room for a rod of 250 x 20 x 20;
  // lying on a side it is too long.
  const PieceShape rod = shape_of(make_box({250, 20, 20}));
  FitRules rules = cube_rules(180);
  rules.poses = Poses::tilted;
  const FitGrade leaning = grade_fit(rod, rules);
  ASSERT_TRUE(leaning.fits());
  ASSERT_EQ(leaning.foot, Foot::tilted);
  rules.poses = Poses::standing;
  const EarlierPose before{leaning.foot, leaning.down, leaning.along};
  EXPECT_FALSE(grade_fit(rod, rules, &before).fits());
}

TEST(QuickFit, WhatIsLargerThanTheRoomMisfitsByMoreTheLargerItIs) {
  const FitRules rules = cube_rules(180);
  double before_h = 1;
  for (const double side_mm : {181.0, 240.0, 320.0, 500.0}) {
    const double penalty_h =
        grade_fit(shape_of(make_box({side_mm, side_mm, side_mm})), rules).penalty_h;
    EXPECT_GT(penalty_h, before_h) << side_mm;
    before_h = penalty_h;
  }
}

TEST(QuickFit, APenaltyOfNoUseIsToldAsInfinite) {
  const FitRules rules = cube_rules(180);
  const PieceShape large = shape_of(make_box({400, 400, 400})),
                   small = shape_of(make_box({100, 60, 40}));
  EXPECT_TRUE(std::isinf(grade_fit(large, rules, nullptr, 0.5).penalty_h));
  EXPECT_TRUE(std::isinf(grade_fit(large, rules, nullptr, 1.5).penalty_h));
  EXPECT_EQ(grade_fit(small, rules, nullptr, 0.5).penalty_h, 0);
}

TEST(QuickFit, AnOutlineKeepsTheCornersOfASideWhosePointsDifferInTheirLastBits) {
  std::vector<Vec2> points{{100, 0}, {100, 60}};
  for (int i = 0; i <= 60; ++i) {
    const double y_mm = (37 * i) % 61;
    points.push_back({10 + ((i + 1) % 3) * 1e-14, y_mm});
  }
  const std::vector<Vec2> outline = quick_outline(points);
  for (const Vec2 corner : {Vec2{10, 0}, Vec2{100, 0}, Vec2{100, 60}, Vec2{10, 60}}) {
    EXPECT_TRUE(std::any_of(outline.begin(), outline.end(),
                            [&](Vec2 p) { return norm(p - corner) < 2e-6; }))
        << corner.x << ' ' << corner.y;
  }
}

TEST(QuickFit, StricterRulesRefuseWhatOnlyJustFits) {
  const FitRules rules = cube_rules(180);
  const PieceShape piece = shape_of(make_box({179.9, 179.9, 179.9}));
  EXPECT_TRUE(grade_fit(piece, rules).fits());
  EXPECT_FALSE(grade_fit(piece, stricter(rules, {.spare_mm = 0.4})).fits());
}

TEST(QuickFit, ARodOnItsEndTipsWhateverItLayLikeBefore) {
  const PieceShape rod = shape_of(make_cylinder(4, 170));
  FitRules rules = cube_rules(180);
  rules.rooms_mm = {{60, 60, 180}};
  const EarlierPose upright{Foot::flat_side, {0, 0, -1}};
  EXPECT_FALSE(grade_fit(rod, rules, &upright).fits());
}

TEST(QuickFit, ALongBarLiesInARoomTurnedAsItsGradeSays) {
  // 230 mm along the diagonal of a bed of 180: 254.6 mm, less what the bar's own width takes.
  const PieceShape bar = shape_of(make_box({230, 10, 10}));
  const FitRules rules = cube_rules(180);
  const FitGrade grade = grade_fit(bar, rules);
  ASSERT_TRUE(grade.fits());
  EXPECT_TRUE(fits_turned(bar.points, grade.down, grade.along, rules.rooms_mm[0]));
  EXPECT_FALSE(fits_turned(bar.points, {0, 0, -1}, {1, 0, 0}, rules.rooms_mm[0]));
  EXPECT_FALSE(fits_turned(bar.points, {0, 0, -1}, {0, 0, 1}, rules.rooms_mm[0]));
}

/// Square in plan, pointed at both ends, 300 mm tall, and a hole right through that is 60 mm high
/// and wide, its walls of `kind`. Its sides are too steep for supports: only the hole's ceiling
/// could bear it.
Solid pierced_spindle(OriginKind kind) {
  TriangleSoup soup;
  for (const auto& [z, half] : {std::pair{-150.0, 4.0}, {0.0, 60.0}, {150.0, 4.0}}) {
    for (const Vec2 corner : {Vec2{-1, -1}, {1, -1}, {1, 1}, {-1, 1}})
      soup.points.push_back({half * corner.x, half * corner.y, z});
  }
  const auto add = [&](std::size_t a, std::size_t b, std::size_t c) {
    soup.triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(b), to_id<VertexId>(c)});
  };
  for (std::size_t ring = 0; ring < 8; ring += 4) {
    for (std::size_t k = 0; k < 4; ++k) {
      const std::size_t a = ring + k, b = ring + (k + 1) % 4;
      add(a, b, b + 4);
      add(a, b + 4, a + 4);
    }
  }
  for (const auto& [a, b, c] :
       {std::array<std::size_t, 3>{0, 3, 2}, {0, 2, 1}, {8, 9, 10}, {8, 10, 11}})
    add(a, b, c);
  const Solid bar = make_box({130, 60, 60}, {-65, -30, -30});
  TriangleSoup hole{.points = {bar.points().begin(), bar.points().end()},
                    .triangles = {bar.triangles().begin(), bar.triangles().end()},
                    .origins = std::vector<Origin>(bar.face_count(), {kind, 0})};
  return subtract(Solid::make(std::move(soup)).value(),
                  std::vector{Solid::make(std::move(hole)).value()})
      .value();
}

TEST(QuickFit, NoSupportStandsInAChannel) {
  FitRules rules = cube_rules(180);
  rules.rooms_mm = {{125, 125, 310}};
  const EarlierPose upright{Foot::supports, {0, 0, -1}};
  const Solid holed = pierced_spindle(OriginKind::skin),
              channelled = pierced_spindle(OriginKind::channel);
  EXPECT_TRUE(grade_fit(shape_of(holed), rules, &upright).fits());
  EXPECT_FALSE(standing_poses(holed, rules.rooms_mm[0]).empty());
  EXPECT_FALSE(grade_fit(shape_of(channelled), rules, &upright).fits());
  EXPECT_TRUE(standing_poses(channelled, rules.rooms_mm[0]).empty());
}

}  // namespace
}  // namespace seamwright::search
