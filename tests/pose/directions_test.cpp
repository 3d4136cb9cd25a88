#include "seamwright/pose/directions.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "support/pieces.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using testing::make_box;
using testing::make_cylinder;

DirectionSetting setting_for(const Solid& solid, double sight = 1) {
  DirectionSetting setting;
  setting.rooms_mm = {{180, 180, 180}};
  setting.face_sight.assign(solid.face_count(), sight);
  return setting;
}

double an_hour(const Pose&, std::size_t) {
  return 3600;
}

/// A prism along y: a right triangle, its long side rising by `degrees`.
Solid wedge(double degrees) {
  const double rise = 100 * std::tan(Angle::degrees(degrees).radians());
  return testing::convex_solid(
      {{0, 0, 0}, {100, 0, 0}, {0, 80, 0}, {100, 80, 0}, {100, 0, rise}, {100, 80, rise}});
}

TEST(Directions, TheCheapestWayComesFirstAndFits) {
  const Solid sheet = make_box({150, 90, 6});
  const auto ranked = rank_directions(sheet, setting_for(sheet), an_hour);
  ASSERT_GE(ranked.size(), 2U);
  EXPECT_NEAR(ranked.front().pose.size_mm.z, 6, 1e-9);
  for (std::size_t i = 0; i < ranked.size(); ++i) {
    EXPECT_GE(ranked[i].hours.total_h(), ranked.front().hours.total_h());
    testing::expect_in_room(sheet, ranked[i].pose.bed_from_part, {180, 180, 180});
    EXPECT_TRUE(ranked[i].pose.is_stable);
  }
}

TEST(Directions, SupportIsPaidForAndItsScarsWhereTheyAreSeen) {
  const Solid bowl = testing::make_frustum(20, 60, 20);  // leans 63°: its side needs support
  const auto up = direction_down(bowl, {0, 0, -1}, setting_for(bowl), an_hour);
  const auto turned = direction_down(bowl, {0, 0, 1}, setting_for(bowl), an_hour);
  ASSERT_TRUE(up && turned);
  const CostWeights cost;
  const double side_cm2 = std::numbers::pi * 80 * std::hypot(40, 20) / 100;
  EXPECT_NEAR(up->hours.support_h, cost.support_h_per_cm2 * side_cm2, 0.01 * side_cm2);
  EXPECT_NEAR(up->hours.support_h, cost.support_h_per_cm2 * up->pose.support_mm2 / 100, 1e-12);
  // The pose leaves out what lies within reach of the bed, 0.02 mm high.
  EXPECT_NEAR(up->hours.scars_h / (cost.scar_h_per_cm2 * up->pose.support_mm2 / 100), 1, 1e-3);
  EXPECT_EQ(turned->hours.support_h, 0);
  EXPECT_EQ(turned->hours.scars_h, 0);
  EXPECT_EQ(direction_down(bowl, {0, 0, -1}, setting_for(bowl, 0), an_hour)->hours.scars_h, 0);
  const auto ranked = rank_directions(bowl, setting_for(bowl), an_hour);
  EXPECT_NEAR(dot(ranked.front().down, Vec3{0, 0, 1}), 1, 1e-9);
}

TEST(Directions, ShallowSeenSkinShowsStepsAndSteepOrFlatSkinDoesNot) {
  const auto steps_h = [](double degrees, Vec3 down, double sight) {
    const Solid solid = wedge(degrees);
    return direction_down(solid, down, setting_for(solid, sight), an_hour)->hours.steps_h;
  };
  const double slope_cm2 = 100 * 80 / std::cos(Angle::degrees(15).radians()) / 100;
  const double c35 = std::cos(Angle::degrees(35).radians());
  const double share = (std::cos(Angle::degrees(15).radians()) - c35) / (1 - c35);
  EXPECT_NEAR(steps_h(15, {0, 0, -1}, 1), CostWeights{}.step_h_per_cm2 * slope_cm2 * share, 1e-6);
  EXPECT_EQ(steps_h(15, {0, 0, -1}, 0), 0);
  EXPECT_EQ(steps_h(15, {0, -1, 0}, 1), 0);
  EXPECT_EQ(steps_h(50, {0, 0, -1}, 1), 0);
}

// CHECKS.md: PLA 48 MPa in plane, 26 across layers; a printer maker's data sheet (seen).
TEST(Directions, AJointPulledAcrossTheLayersIsWeak) {
  const Solid box = testing::with_cap(make_box({60, 50, 40}), {0, 0, -1}, SeamId{1});
  const auto weakness_h = [&](Vec3 down) {
    return direction_down(box, down, setting_for(box), an_hour)->hours.weakness_h;
  };
  EXPECT_NEAR(weakness_h({0, 0, -1}), CostWeights{}.weak_joint_h * (1 - 26.0 / 48), 1e-9);
  EXPECT_NEAR(weakness_h({1, 0, 0}), 0, 1e-9);
}

TEST(Directions, BigFlatFeetWarpByMaterialAndCorners) {
  const Solid plate = make_box({200, 200, 10});
  DirectionSetting setting = setting_for(plate);
  setting.rooms_mm = {{220, 220, 220}};
  const auto warping_h = [&](const Solid& solid, double ratio) {
    setting.warp_ratio = ratio;
    setting.face_sight.clear();
    return direction_down(solid, {0, 0, -1}, setting, an_hour)->hours.warping_h;
  };
  EXPECT_NEAR(warping_h(plate, 1), 2 * CostWeights{}.warped_foot_h, 1e-6);  // four sharp corners
  EXPECT_NEAR(warping_h(plate, 0.15), 0.15 * warping_h(plate, 1), 1e-9);
  EXPECT_EQ(warping_h(plate, 0), 0);
  EXPECT_LT(warping_h(make_cylinder(100, 10, 128), 1), 0.5 * warping_h(plate, 1));
}

TEST(Directions, SharpCornersOfAFootAreThoseUnderAHundredDegrees) {
  EXPECT_EQ(sharp_foot_corners(make_box({50, 40, 5}), {}).size(), 4U);
  EXPECT_TRUE(sharp_foot_corners(make_cylinder(30, 5, 64), {}).empty());
  EXPECT_TRUE(sharp_foot_corners(make_cylinder(30, 5, 6), {}).empty());  // 120°
  EXPECT_TRUE(sharp_foot_corners(testing::make_sphere(20), {}).size() < 3U);
}

TEST(Directions, CornersLiftByMaterialAndFoot) {
  const Solid plate = make_box({150, 140, 8});
  Pose pose;
  pose.contact_mm2 = 150 * 140;
  EXPECT_EQ(lifting_corners(plate, pose, 1).size(), 4U);
  EXPECT_EQ(lifting_corners(plate, pose, 0.3).size(), 4U);
  EXPECT_TRUE(lifting_corners(plate, pose, 0.15).empty());
  pose.contact_mm2 = 400;
  EXPECT_TRUE(lifting_corners(plate, pose, 1).empty());
}

TEST(Directions, TheMakersOwnDirectionIsTakenWhenItFits) {
  const Solid bar = make_box({150, 20, 20});
  const auto upright = direction_down(bar, {-1, 0, 0}, setting_for(bar), an_hour);
  ASSERT_TRUE(upright);
  EXPECT_NEAR(upright->pose.size_mm.z, 150, 1e-9);
  const auto leaning = direction_down(bar, {-1, 0, -1}, setting_for(bar), an_hour);
  ASSERT_TRUE(leaning);
  EXPECT_NEAR(dot(leaning->pose.bed_from_part.rows[2], normalized(Vec3{1, 0, 1})), 1, 1e-9);
  const Solid mast = make_box({300, 20, 20});
  EXPECT_FALSE(direction_down(mast, {-1, 0, 0}, setting_for(mast), an_hour));
}

TEST(Directions, FreeRotationsFindWhatStandingDoesNot) {
  const Solid rod = make_box({105, 8, 8});
  DirectionSetting setting = setting_for(rod);
  setting.rooms_mm = {{80, 80, 80}};
  setting.rules.least_contact_mm2 = 0;
  setting.rules.least_tip = setting.rules.sheet_tip = Angle::degrees(-90);
  setting.rules.most_slender_ratio = setting.rules.sheet_slender_ratio = 1e9;
  EXPECT_FALSE(direction_down(rod, {0, 0, -1}, {.rooms_mm = {{80, 60, 80}}}, an_hour));
  setting.poses = Poses::tilted;
  const auto ranked = rank_directions(rod, setting, an_hour);
  ASSERT_FALSE(ranked.empty());
  for (const Direction& direction : ranked)
    testing::expect_in_room(rod, direction.pose.bed_from_part, {80, 80, 80});
}

TEST(Directions, PrintingHoursGrowWithThePrint) {
  EXPECT_GT(printing_hours(20 * 3600, {}), 2 * printing_hours(5 * 3600, {}));
  CostWeights free;
  free.print_h_per_h = free.failure_per_h = free.first_layer_failure_ratio = 0;
  EXPECT_EQ(printing_hours(3600, free), 0);
}

}  // namespace
}  // namespace seamwright
