#include "seamwright/printing/print_estimate.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "support/shapes.h"

namespace seamwright {
namespace {

using testing::make_box;
using testing::make_frustum;
using testing::make_tube;

constexpr double kPi = std::numbers::pi;

/// All kinds of line at one speed and no rule that slows them.
PrintSettings even_speed(double mm_per_s) {
  PrintSettings print;
  print.nominal_mm_per_s = mm_per_s;
  print.outer_wall_mm_per_s = print.inner_wall_mm_per_s = print.solid_fill_mm_per_s =
      print.top_skin_mm_per_s = print.sparse_fill_mm_per_s = mm_per_s;
  print.first_layer_mm_per_s = mm_per_s;
  print.shortest_layer_s = 0;
  print.heating_s = 0;
  return print;
}

PrintEstimate estimate(const Solid& solid, const PrintSettings& print, const Printer& printer = {},
                       const Material& material = {}) {
  return estimate_print(solid, {}, printer, material, print).value();
}

double walls_mm(const PrintEstimate& e) {
  return e.line_mm[to_index(LineKind::outer_wall)] + e.line_mm[to_index(LineKind::inner_wall)];
}
double walls_s(const PrintEstimate& e) {
  return e.kind_s[to_index(LineKind::outer_wall)] + e.kind_s[to_index(LineKind::inner_wall)];
}

// PRINTING.md, closed forms.
TEST(PrintEstimate, ACubesWallsAreItsSidesLessHalfALineEach) {
  const PrintEstimate cube = estimate(make_box({20, 20, 20}), even_speed(50));
  EXPECT_EQ(cube.layer_count, 100U);
  EXPECT_NEAR(cube.line_mm[to_index(LineKind::outer_wall)], 7840, 1);
  EXPECT_NEAR(cube.line_mm[to_index(LineKind::inner_wall)], 7520 + 7200, 2);
}

// PRINTING.md, closed forms: 451.2 s at a constant 50 mm/s, 535.9 s with jerk 8 and a = 500.
TEST(PrintEstimate, ACubesWallsTakeTheTimeOfTheirTrapezoids) {
  Printer quick;
  quick.acceleration_mm_per_s2 = 100'000;
  quick.corner_jerk_mm_per_s = 100;
  EXPECT_NEAR(walls_s(estimate(make_box({20, 20, 20}), even_speed(50), quick)), 451.2, 0.1);
  EXPECT_NEAR(walls_s(estimate(make_box({20, 20, 20}), even_speed(50))), 535.9, 0.1);
}

// PRINTING.md, closed forms: ten solid layers, walls 11,856 in all.
TEST(PrintEstimate, APlateIsSolidThroughout) {
  PrintSettings print;
  print.top_layers = print.bottom_layers = 5;
  const PrintEstimate plate = estimate(make_box({100, 100, 2}), print);
  EXPECT_EQ(plate.layer_count, 10U);
  EXPECT_NEAR(walls_mm(plate), 11'856, 2);
  EXPECT_EQ(plate.line_mm[to_index(LineKind::sparse_fill)], 0);
  const double fill_mm2 = 0.4 * (plate.line_mm[to_index(LineKind::solid_fill)] +
                                 plate.line_mm[to_index(LineKind::top_skin)]);
  EXPECT_NEAR(fill_mm2, 10 * 97.6 * 97.6, 0.01 * 10 * 97.6 * 97.6);
  EXPECT_NEAR(plate.line_mm[to_index(LineKind::top_skin)] * 0.4, 97.6 * 97.6, 0.01 * 97.6 * 97.6);
}

// PRINTING.md, closed forms: each pair of walls is 2π (R + r) = 358.14 a layer.
TEST(PrintEstimate, ATubesWallsComeInPairsOfOneLength) {
  const PrintEstimate tube = estimate(make_tube(30, 27, 30, 256), even_speed(50));
  EXPECT_NEAR(walls_mm(tube) / 150, 3 * 358.14, 0.002 * 3 * 358.14);
  // What is left, 0.6 mm, is one line in the gap.
  EXPECT_NEAR(tube.line_mm[to_index(LineKind::gap)] / 150, 358.14 / 2, 0.01 * 358.14 / 2);
}

// PRINTING.md, closed forms: 12,315 mm.
TEST(PrintEstimate, AConesOuterWallsShrinkWithItsRadius) {
  const PrintEstimate cone = estimate(make_frustum(20, 0.001, 40, 512), even_speed(50));
  EXPECT_NEAR(cone.line_mm[to_index(LineKind::outer_wall)], 12'315, 0.004 * 12'315);
}

// PRINTING.md, closed forms: 45.6 mm of wall a layer; the floor of 10 mm/s binds before 8 s.
TEST(PrintEstimate, AThinPostIsHeldUpByTheSlowestSpeedNotTheShortestLayer) {
  PrintSettings print;
  const PrintEstimate post = estimate(make_box({5, 5, 50}), print);
  EXPECT_NEAR(walls_mm(post) / 250, 45.6, 0.1);
  const double middle_s = post.layer_s[125];
  EXPECT_LT(middle_s, print.shortest_layer_s);
  EXPECT_GT(middle_s, 45.6 / print.slowest_mm_per_s);
  print.slowest_mm_per_s = 2;
  EXPECT_NEAR(estimate(make_box({5, 5, 50}), print).layer_s[125], print.shortest_layer_s, 1e-3);
}

TEST(PrintEstimate, LinesOfASolidCubeMakeUpItsVolume) {
  PrintSettings print;
  print.fill_ratio = 1;
  const PrintEstimate cube = estimate(make_box({20, 20, 20}), print);
  EXPECT_NEAR(cube.mass_g, 8 * 1.24, 0.01 * 8 * 1.24);
  EXPECT_NEAR(cube.filament_mm, 8000 / 2.40528, 0.01 * 8000 / 2.40528);
}

// PRINTING.md, trap 1.
TEST(PrintEstimate, WallsOfWholeLinesKeepTheirVolumeAndDoNotShatter) {
  for (const double wall_mm : {0.4, 0.8, 1.2, 1.6, 2.0}) {
    const PrintEstimate tube = estimate(make_tube(20, 20 - wall_mm, 20, 128), even_speed(50));
    const double section_mm2 =
        64 * std::sin(2 * kPi / 128) * (400 - (20 - wall_mm) * (20 - wall_mm));
    EXPECT_NEAR(tube.mass_g, section_mm2 * 20 * 1.24e-3, 0.01 * section_mm2 * 20 * 1.24e-3)
        << wall_mm;
    EXPECT_LT(tube.travel_mm, 100 * 10) << wall_mm;
  }
}

TEST(PrintEstimate, BoxesOfWholeLinesKeepTheirVolumeAndDoNotShatter) {
  for (const double wall_mm : {0.4, 0.8, 1.2, 1.6, 2.0, 2.4}) {
    const PrintEstimate strip = estimate(make_box({60, wall_mm, 20}), even_speed(50));
    EXPECT_NEAR(strip.mass_g, 60 * wall_mm * 20 * 1.24e-3, 0.01 * 60 * wall_mm * 20 * 1.24e-3)
        << wall_mm;
    EXPECT_LT(strip.travel_mm, 100 * 61 * 2) << wall_mm;
  }
}

// PRINTING.md, trap 3: 8 to 14 % short without lines in the gap.
TEST(PrintEstimate, GapsBetweenWallsAreFilled) {
  for (const double wall_mm : {2.45, 2.5, 2.6, 2.7, 2.8, 3.0}) {
    const PrintEstimate tube = estimate(make_tube(30, 30 - wall_mm, 10, 128), even_speed(50));
    const double section_mm2 =
        64 * std::sin(2 * kPi / 128) * (900 - (30 - wall_mm) * (30 - wall_mm));
    EXPECT_NEAR(tube.mass_g, section_mm2 * 10 * 1.24e-3, 0.02 * section_mm2 * 10 * 1.24e-3)
        << wall_mm;
  }
}

}  // namespace
}  // namespace seamwright
