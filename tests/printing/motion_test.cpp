#include "seamwright/printing/motion.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <numbers>

namespace seamwright {
namespace {

std::vector<Vec2> circle(double radius_mm, std::size_t sides) {
  std::vector<Vec2> points;
  for (std::size_t i = 0; i < sides; ++i) {
    const double a = 2 * std::numbers::pi * static_cast<double>(i) / static_cast<double>(sides);
    points.push_back({radius_mm * std::cos(a), radius_mm * std::sin(a)});
  }
  return points;
}

// CHECKS.md, motion: trapezoid rows; source: kinematics, derived.
TEST(Motion, TrapezoidsTakeTheTimeOfKinematics) {
  EXPECT_NEAR(trapezoid_s(100, 0, 100, 0, 1000), 1.1, 1e-9);
  EXPECT_NEAR(trapezoid_s(10, 0, 100, 0, 1000), 0.2, 1e-9);
  EXPECT_NEAR(trapezoid_s(5, 0, 100, 0, 1000), 0.141421, 1e-6);
  EXPECT_NEAR(trapezoid_s(20, 5, 60, 10, 3000), 0.348681, 1e-6);
  EXPECT_NEAR(trapezoid_s(1, 5, 100, 5, 1000), 0.0540312, 1e-7);
}

// PRINTING.md, closed forms: travels and the retraction pair.
TEST(Motion, TravelsAndRetractionsTakeTheTimeOfTheirTrapezoids) {
  EXPECT_NEAR(trapezoid_s(100, 0, 120, 0, 500), 1.07333, 1e-5);
  EXPECT_NEAR(trapezoid_s(10, 0, 120, 0, 500), 0.28284, 1e-5);
  EXPECT_NEAR(2 * trapezoid_s(5, 0, 40, 0, 1000), 0.33, 1e-9);
}

// CHECKS.md, motion: corner speed by junction deviation; source: S. Jeon, 2011 (seen in part).
TEST(Motion, CornerSpeedsByDeviationAreThePublishedOnes) {
  const std::pair<double, double> rows[] = {{45, 5.5674},   {60, 7.0711},   {90, 10.9868},
                                            {120, 17.9779}, {135, 24.6344}, {150, 37.6482}};
  for (const auto& [inner_deg, speed] : rows) {
    EXPECT_NEAR(corner_speed_by_deviation(Angle::degrees(inner_deg), 1000, 0.05), speed, 1e-4);
  }
  EXPECT_TRUE(std::isinf(corner_speed_by_deviation(Angle::degrees(180), 1000, 0.05)));
}

TEST(Motion, CornerSpeedByJerkLetsNoAxisJumpByMore) {
  EXPECT_DOUBLE_EQ(corner_speed_by_jerk({1, 0}, {0, 1}, 8), 8);
  EXPECT_DOUBLE_EQ(corner_speed_by_jerk({1, 0}, {-1, 0}, 8), 4);
  EXPECT_TRUE(std::isinf(corner_speed_by_jerk({1, 0}, {1, 0}, 8)));
}

// PRINTING.md, closed forms: 1.341 s for any number of sides of at least 64.
TEST(Motion, ACircleTakesTheSameTimeWithAnyNumberOfSides) {
  for (const std::size_t sides : {64U, 128U, 256U, 1024U, 10000U}) {
    PathTimer timer({500, 8});
    EXPECT_NEAR(timer.path_s(circle(10, sides), true, {50, 4, 4}), 1.341, 0.002) << sides;
  }
}

// CHECKS.md, motion: 90° at a 1000 and δ 0.05 is 10.9868 mm/s; S. Jeon, 2011 (seen in part).
TEST(Motion, ThePlannerKeepsToJunctionDeviationWhenAsked) {
  MotionLimits limits{1000, 8, 0.05};
  EXPECT_NEAR(corner_speed({1, 0}, {0, 1}, limits), 10.9868, 1e-4);
  EXPECT_TRUE(std::isinf(corner_speed({0, 1}, {0, 1}, limits)));
  EXPECT_EQ(end_speed(limits), 0);
  PathTimer timer(limits);
  const std::vector<Vec2> square{{0, 0}, {20, 0}, {20, 20}, {0, 20}};
  const double corner = corner_speed({1, 0}, {0, 1}, limits);
  EXPECT_NEAR(
      timer.path_s(square, true, {50, 0, 0}),
      2 * trapezoid_s(20, 0, 50, corner, 1000) + 2 * trapezoid_s(20, corner, 50, corner, 1000),
      1e-12);
}

TEST(Motion, ASquareLoopSlowsToTheCornerSpeedFourTimes) {
  PathTimer timer({500, 8});
  const std::vector<Vec2> square{{0, 0}, {20, 0}, {20, 20}, {0, 20}};
  EXPECT_NEAR(timer.path_s(square, true, {50, 8, 8}), 4 * trapezoid_s(20, 8, 50, 8, 500), 1e-12);
  EXPECT_NEAR(timer.path_s(square, false, {50, 0, 0}),
              2 * trapezoid_s(20, 0, 50, 8, 500) + trapezoid_s(20, 8, 50, 8, 500), 1e-12);
}

TEST(Motion, LookAheadBrakesOverManyShortLines) {
  // 100 lines of 0.1 mm straight on are one line of 10 mm.
  std::vector<Vec2> points;
  for (int i = 0; i <= 100; ++i) points.push_back({0.1 * i, 0});
  PathTimer timer({1000, 8});
  EXPECT_NEAR(timer.path_s(points, false, {100, 0, 0}), trapezoid_s(10, 0, 100, 0, 1000), 1e-9);
}

TEST(Motion, PointsOnTheSamePlaceTakeNoTime) {
  PathTimer timer({500, 8});
  const std::vector<Vec2> once{{1, 1}}, twice{{1, 1}, {1, 1}};
  EXPECT_EQ(timer.path_s(once, false, {50, 8, 8}), 0);
  EXPECT_EQ(timer.path_s(twice, true, {50, 8, 8}), 0);
}

TEST(Motion, EntrySpeedsAboveCruiseCountAsCruise) {
  PathTimer timer({500, 8});
  const std::vector<Vec2> line{{0, 0}, {10, 0}};
  EXPECT_NEAR(timer.path_s(line, false, {5, 8, 8}), 2, 1e-12);
}

}  // namespace
}  // namespace seamwright
