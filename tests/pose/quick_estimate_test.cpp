#include "seamwright/pose/quick_estimate.h"

#include <gtest/gtest.h>

#include "seamwright/query/mass_properties.h"
#include "support/pieces.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using testing::make_box;
using testing::make_cylinder;
using testing::make_sphere;
using testing::make_tube;
using testing::side_by_side;
using testing::subdivide;

const Pose kAsIs{};

/// Nothing but walls at one speed, no waiting, no acceleration to speak of.
struct Bare {
  Printer printer;
  Material material;
  PrintSettings print;
  Bare() {
    printer.acceleration_mm_per_s2 = 1e9;
    printer.corner_jerk_mm_per_s = 100;
    printer.travel_mm_per_s = 1e6;
    printer.retraction_mm = 0;
    printer.start_and_finish_s = printer.layer_change_s = 0;
    print.heating_s = print.shortest_layer_s = 0;
    print.first_layer_mm_per_s = 50;
    print.outer_wall_mm_per_s = print.inner_wall_mm_per_s = 50;
    print.top_layers = print.bottom_layers = 0;
    print.fill_ratio = 0;
    print.has_support = false;
  }
  QuickEstimate of(const Solid& solid) const {
    return quick_estimate(solid, kAsIs, printer, material, print);
  }
};

/// Length of 0.4 × 0.2 line that a mass of PLA is.
double line_mm(const QuickEstimate& estimate) {
  return estimate.mass_g / 1.24e-3 / (0.4 * 0.2);
}

TEST(QuickEstimate, WallsOfACube) {
  // PRINTING.md, closed form: cube 20, walls 78.4 + 75.2 + 72.0 a layer, 451.2 s at constant 50
  // mm/s.
  Bare bare;
  const QuickEstimate cube = bare.of(make_box({20, 20, 20}));
  EXPECT_NEAR(line_mm(cube), 100 * (78.4 + 75.2 + 72.0), 0.1);
  EXPECT_NEAR(cube.print_s, 451.2, 0.1);
}

TEST(QuickEstimate, CornersOfACube) {
  // PRINTING.md, closed form: 535.9 s with jerk 8 and acceleration 500. Travel is taken off by a
  // second estimate whose corners cost nothing.
  Bare bare;
  bare.printer.acceleration_mm_per_s2 = 500;
  const double without_corners_s = bare.of(make_box({20, 20, 20})).print_s;
  bare.printer.corner_jerk_mm_per_s = 8;
  EXPECT_NEAR(451.2 + bare.of(make_box({20, 20, 20})).print_s - without_corners_s, 535.9, 0.1);
}

TEST(QuickEstimate, CornersAreCountedOnceHoweverTheMeshIsCut) {
  Bare bare;
  bare.printer.acceleration_mm_per_s2 = 500;
  bare.printer.corner_jerk_mm_per_s = 8;
  const Solid box = make_box({30, 20, 10});
  EXPECT_NEAR(bare.of(box).print_s, bare.of(subdivide(box, 3)).print_s,
              1e-6 * bare.of(box).print_s);
}

TEST(QuickEstimate, WallsOfATube) {
  // PRINTING.md, closed form: tube 30/27 × 30, each pair of walls 2π(R + r) = 358.14 a layer; three
  // pairs, and one line in the middle for the 0.6 mm left, 0.6 wide.
  Bare bare;
  const double pair_mm = 2 * std::numbers::pi * 57;
  const QuickEstimate tube = bare.of(make_tube(30, 27, 30, 512));
  EXPECT_NEAR(line_mm(tube), 150 * pair_mm * (3 + 0.75), 0.002 * 150 * pair_mm * 3.75);
  EXPECT_NEAR(tube.print_s, 150 * pair_mm * 3.5 / 50, 0.003 * tube.print_s);
}

TEST(QuickEstimate, WallsOfWholeLinesPrintAtTheirVolume) {
  // PRINTING.md, trap 1: walls of 0.4 … 2.0 must print within 1 % of their volume.
  Bare bare;
  for (const double wall : {0.4, 0.8, 1.2, 1.6, 2.0, 2.4, 2.7, 3.0}) {
    const Solid tube = make_tube(30, 30 - wall, 20, 256);
    const double mm3 = std::numbers::pi * (900 - (30 - wall) * (30 - wall)) * 20;
    EXPECT_NEAR(bare.of(tube).mass_g, mm3 * 1.24e-3, 0.01 * mm3 * 1.24e-3) << wall;
  }
}

TEST(QuickEstimate, SolidFillIsTheVolume) {
  // All layers solid: areas × height = volume, but for the hatch's inset of 0.35 line widths.
  Bare bare;
  bare.print.fill_ratio = 1;
  Transform raised;
  raised.shift = {0, 0, 30};
  const Solid ball = make_sphere(30).transformed(raised);
  for (const Solid& solid : {make_box({60, 40, 20}), make_cylinder(25, 30, 128), ball}) {
    const double mass_g = volume_mm3(solid) * 1.24e-3;
    EXPECT_NEAR(bare.of(solid).mass_g, mass_g, 0.03 * mass_g);
  }
}

TEST(QuickEstimate, PlateIsAllSkin) {
  // PRINTING.md, closed form: plate 100 × 100 × 2 is ten solid layers with the default four and
  // four but for the two in the middle; with five and five all are.
  Bare bare;
  bare.print.top_layers = bare.print.bottom_layers = 5;
  bare.print.fill_ratio = 0.15;
  const double solid_g = 100 * 100 * 2 * 1.24e-3;
  EXPECT_NEAR(bare.of(make_box({100, 100, 2})).mass_g, solid_g, 0.01 * solid_g);
  bare.print.top_layers = bare.print.bottom_layers = 4;
  EXPECT_LT(bare.of(make_box({100, 100, 2})).mass_g, 0.88 * solid_g);
}

TEST(QuickEstimate, SparseFillTakesItsShare) {
  Bare bare;
  bare.print.fill_ratio = 0.15;
  const double walls_g = Bare().of(make_box({100, 100, 50})).mass_g;
  const double inside_mm3 = (100 - 2.4) * (100 - 2.4) * 50;
  EXPECT_NEAR(bare.of(make_box({100, 100, 50})).mass_g - walls_g, 0.15 * inside_mm3 * 1.24e-3,
              0.05 * 0.15 * inside_mm3 * 1.24e-3);
}

TEST(QuickEstimate, ShortestLayersOfAPost) {
  // PRINTING.md, closed form: post 5 × 5 × 50, 45.6 of wall a layer; the floor of 10 mm/s binds
  // before 8 s.
  Bare bare;
  bare.print.shortest_layer_s = 8;
  const QuickEstimate post = bare.of(make_box({5, 5, 50}));
  EXPECT_NEAR(line_mm(post), 250 * 45.6, 1);
  EXPECT_NEAR(post.print_s, 250 * 4.56, 1);
}

TEST(QuickEstimate, SupportFillsTheColumnDownToTheBedOrTheNextFace) {
  Printer printer;
  Material material;
  PrintSettings print;
  print.support_ratio = 0.15;
  const auto support_mm3 = [&](const Solid& solid) {
    return quick_estimate(solid, kAsIs, printer, material, print).support_g / 1.24e-3;
  };
  const Solid roof = make_box({60, 60, 10}, {0, 0, 40});
  const Solid floor = make_box({60, 60, 10}, {0, 0, 0});
  EXPECT_NEAR(support_mm3(roof), 60 * 60 * 40 * 0.15, 0.1 * 60 * 60 * 40 * 0.15);
  EXPECT_NEAR(support_mm3(side_by_side(roof, floor)), 60 * 60 * 30 * 0.15,
              0.1 * 60 * 60 * 30 * 0.15);
  EXPECT_EQ(support_mm3(floor), 0);
  print.has_support = false;
  EXPECT_EQ(support_mm3(roof), 0);
}

TEST(QuickEstimate, FollowsThePose) {
  const Solid bar = make_box({100, 20, 10});
  Pose upright;
  upright.bed_from_part = rotation({0, 1, 0}, Angle::degrees(-90));
  upright.bed_from_part.shift = {10, 0, 0};
  const QuickEstimate posed = quick_estimate(bar, upright, {}, {}, {});
  const QuickEstimate moved =
      quick_estimate(bar.transformed(upright.bed_from_part), kAsIs, {}, {}, {});
  EXPECT_NEAR(posed.print_s, moved.print_s, 1e-6);
  EXPECT_NEAR(posed.mass_g, moved.mass_g, 1e-9);
  EXPECT_NE(posed.print_s, quick_estimate(bar, kAsIs, {}, {}, {}).print_s);
}

TEST(QuickEstimate, StoredLayersTimeLikeNewOnes) {
  const Solid ball = make_sphere(20).transformed({Transform{}.rows, {0, 0, 20}});
  const QuickLayers layers(ball, kAsIs, {});
  Printer quick;
  quick.acceleration_mm_per_s2 = 3000;
  quick.corner_rule = CornerRule::deviation;
  PrintSettings hurried;
  hurried.nominal_mm_per_s = 120;
  EXPECT_EQ(layers.timed(quick, {}, hurried).print_s,
            quick_estimate(ball, kAsIs, quick, {}, hurried).print_s);
  EXPECT_LT(layers.timed(quick, {}, hurried).print_s, layers.timed({}, {}, {}).print_s);
}

TEST(QuickEstimate, FactorsScaleTheWhole) {
  Printer printer;
  const Solid cube = make_box({20, 20, 20});
  const QuickEstimate plain = quick_estimate(cube, kAsIs, printer, {}, {});
  printer.time_factor_ratio = 1.1;
  printer.mass_factor_ratio = 0.9;
  const QuickEstimate fitted = quick_estimate(cube, kAsIs, printer, {}, {});
  EXPECT_DOUBLE_EQ(fitted.print_s, 1.1 * plain.print_s);
  EXPECT_NEAR(fitted.mass_g, 0.9 * plain.mass_g, 1e-12);
}

}  // namespace
}  // namespace seamwright
