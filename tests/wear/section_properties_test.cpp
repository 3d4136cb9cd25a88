#include "seamwright/wear/section_properties.h"

#include <gtest/gtest.h>

#include "seamwright/core/random.h"

namespace seamwright {
namespace {

Loop2 rectangle(double width_mm, double height_mm) {
  const double x = width_mm / 2, y = height_mm / 2;
  return {{-x, -y}, {x, -y}, {x, y}, {-x, y}};
}
Loop2 reversed(Loop2 loop) {
  std::reverse(loop.begin(), loop.end());
  return loop;
}
Loop2 circle(double radius_mm, int sides) {
  Loop2 loop;
  for (int i = 0; i < sides; ++i) {
    const double turn = 2 * std::numbers::pi * i / sides;
    loop.push_back(Vec2{std::cos(turn), std::sin(turn)} * radius_mm);
  }
  return loop;
}
Region2 rectangle_tube() {
  return {rectangle(40, 60), {reversed(rectangle(34, 54))}};
}
Region2 round_tube() {
  return {circle(20, 20000), {reversed(circle(17, 20000))}};
}

// CHECKS.md, Geometry and strength, section modulus (Machinery's Handbook section tables, memory;
// derived).
TEST(SectionProperties, GiveTheSectionModulusOfARectangleTube) {
  const Region2 tube = rectangle_tube();
  const SectionProperties section = section_properties({&tube, 1});
  EXPECT_NEAR(section.i_uu_mm4, 273852, 1e-6);
  EXPECT_NEAR(section_modulus_u_mm3({&tube, 1}, section), 9128.4, 1e-6);
}

TEST(SectionProperties, GiveTheSectionModulusOfARoundTube) {
  const Region2 tube = round_tube();
  const SectionProperties section = section_properties({&tube, 1});
  EXPECT_NEAR(section.i_uu_mm4, 60066.47, 0.02);
  EXPECT_NEAR(section.i_vv_mm4, 60066.47, 0.02);
  EXPECT_NEAR(section_modulus_u_mm3({&tube, 1}, section), 3003.323, 0.001);
}

// CHECKS.md, cantilever, 10 N at 300 mm, E 2500 MPa (Roark table 8.1 case 1a, memory; derived).
TEST(SectionProperties, GiveStressAndSagOfACantilever) {
  const struct {
    Region2 tube;
    double stress_mpa, sag_mm;
  } rows[] = {{rectangle_tube(), 0.32864, 0.131458}, {round_tube(), 0.99889, 0.599336}};
  for (const auto& row : rows) {
    const SectionProperties section = section_properties({&row.tube, 1});
    const NormalStress stress = normal_stress({&row.tube, 1}, section, {0, 10 * 300, 0});
    EXPECT_NEAR(stress.most_mpa, row.stress_mpa, 5e-6);
    EXPECT_NEAR(stress.least_mpa, -row.stress_mpa, 5e-6);
    EXPECT_NEAR(tip_sag_mm(10, 300, 2500, section.i_uu_mm4), row.sag_mm, 1e-6);
  }
}

TEST(SectionProperties, AgreeWithCountingCellsOnASkewShape) {
  const Region2 shape{{{3, 1}, {40, 8}, {31, 30}, {12, 22}}, {{{15, 10}, {18, 18}, {25, 12}}}};
  const SectionProperties section = section_properties({&shape, 1});
  double area = 0, u = 0, v = 0, uu = 0, vv = 0, uv = 0;
  const double step = 0.05;
  for (double x = step / 2; x < 45; x += step) {
    for (double y = step / 2; y < 35; y += step) {
      if (!region_contains(shape, {x, y})) continue;
      const double cell = step * step;
      area += cell;
      u += cell * x;
      v += cell * y;
      uu += cell * x * x;
      vv += cell * y * y;
      uv += cell * x * y;
    }
  }
  EXPECT_NEAR(section.area_mm2, area, 2e-3 * area);
  EXPECT_NEAR(section.centroid.x, u / area, 0.02);
  EXPECT_NEAR(section.centroid.y, v / area, 0.02);
  EXPECT_NEAR(section.i_vv_mm4, uu - u * u / area, 5e-3 * section.i_vv_mm4);
  EXPECT_NEAR(section.i_uu_mm4, vv - v * v / area, 5e-3 * section.i_uu_mm4);
  EXPECT_NEAR(section.i_uv_mm4, uv - u * v / area, 5e-3 * section.i_vv_mm4);
}

TEST(SectionProperties, SkewBendingBalancesItsMoments) {
  // ∫σ v dA = M_u and -∫σ u dA = M_v, counted over cells: σ is linear, so two corners give it.
  const Region2 shape{{{0, 0}, {30, 0}, {30, 5}, {5, 5}, {5, 40}, {0, 40}}, {}};
  const SectionProperties section = section_properties({&shape, 1});
  const SectionAction action{0, 1000, 700};
  const double det = section.i_vv_mm4 * section.i_uu_mm4 - section.i_uv_mm4 * section.i_uv_mm4;
  const double alpha = (-700 * section.i_uu_mm4 - 1000 * section.i_uv_mm4) / det;
  const double beta = (1000 * section.i_vv_mm4 + 700 * section.i_uv_mm4) / det;
  double mu = 0, mv = 0, most = -1e9;
  const double step = 0.05;
  for (double x = step / 2; x < 30; x += step) {
    for (double y = step / 2; y < 40; y += step) {
      if (!region_contains(shape, {x, y})) continue;
      const double du = x - section.centroid.x, dv = y - section.centroid.y;
      const double sigma = alpha * du + beta * dv;
      mu += sigma * dv * step * step;
      mv -= sigma * du * step * step;
      most = std::max(most, sigma);
    }
  }
  EXPECT_NEAR(mu, 1000, 5);
  EXPECT_NEAR(mv, 700, 5);
  EXPECT_NEAR(normal_stress({&shape, 1}, section, action).most_mpa, most, 0.01 * most);
}

}  // namespace
}  // namespace seamwright
