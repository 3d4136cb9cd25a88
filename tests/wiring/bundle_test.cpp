#include "seamwright/wiring/bundle.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace seamwright {
namespace {

// ASTM B258 formula, as transcribed, ± 0.0001 mm.
TEST(Bundle, GaugeDiametersAreThoseOfTheStandard) {
  const std::pair<int, double> rows[] = {{18, 1.0237}, {20, 0.8118}, {22, 0.6438}, {24, 0.5106},
                                         {26, 0.4049}, {28, 0.3211}, {30, 0.2546}};
  for (const auto& [gauge, diameter_mm] : rows)
    EXPECT_NEAR(gauge_diameter_mm(gauge), diameter_mm, 1e-4) << gauge;
}

// IEC 60028 (memory), derived, ± 0.1 %.
TEST(Bundle, ResistancesAreThoseOfAnnealedCopper) {
  const std::pair<int, double> rows[] = {{18, 20.95}, {20, 33.31}, {22, 52.96}, {24, 84.21},
                                         {26, 133.9}, {28, 212.9}, {30, 338.6}};
  for (const auto& [gauge, ohm_per_km] : rows)
    EXPECT_NEAR(gauge_ohm_per_km(gauge) / ohm_per_km, 1, 1e-3) << gauge;
}

// UL 1007 style, makers' sheets (memory), ± 0.1 mm.
TEST(Bundle, HookUpWireDiametersAreThoseOfTheSheets) {
  const std::pair<int, double> rows[] = {{30, 1.1}, {28, 1.2}, {26, 1.3}, {24, 1.4},
                                         {22, 1.6}, {20, 1.8}, {18, 2.1}};
  for (const auto& [gauge, outer_mm] : rows)
    EXPECT_NEAR(*hookup_wire_mm(gauge), outer_mm, 0.1) << gauge;
  EXPECT_EQ(hookup_wire_mm(10).error().code, "wire-gauge-unknown");
}

// Graham, Lubachevsky, Nurmela, Östergård, Discrete Math. 181 (1998) (memory).
TEST(Bundle, RatiosAreThoseOfTheBestPackings) {
  const double rows[] = {1, 2, 2.1547, 2.4142, 2.7013, 3, 3};
  for (std::size_t n = 1; n <= 7; ++n) EXPECT_NEAR(bundle_ratio(n), rows[n - 1], 1e-4);
  for (std::size_t n = 8; n < 60; ++n) {
    EXPECT_GE(bundle_ratio(n),
              std::sqrt(static_cast<double>(n)));  // no packing is denser than full
    EXPECT_GE(bundle_ratio(n), bundle_ratio(n - 1));
  }
}

// NFPA 70 chapter 9 table 1, as transcribed: 53 % one wire, 31 % two, 40 % three and more.
TEST(Bundle, BoresKeepTheFillLimitsAndHoldTheBundle) {
  const double limits[] = {0.53, 0.31, 0.40, 0.40, 0.40, 0.40};
  for (int n = 1; n <= 6; ++n) {
    const BoreSize size = *size_bore({std::to_string(n) + "xAWG22"});
    EXPECT_LE(n * 1.6 * 1.6 / (size.bore_mm * size.bore_mm), limits[n - 1] + 1e-12) << n;
    EXPECT_GT(size.bore_mm, size.bundle_mm);
  }
}

// Same table, informational note 2: three wires jam where 2.8 ≤ D/d ≤ 3.2. Worked row: d 1.6, D 5
// is in the band.
TEST(Bundle, ThreeWiresAreKeptOutOfTheJamBand) {
  for (const int gauge : {18, 20, 22, 24, 26, 28, 30}) {
    const BoreSize size = *size_bore({"3xAWG" + std::to_string(gauge)});
    const double ratio = size.bore_mm / *hookup_wire_mm(gauge);
    EXPECT_TRUE(ratio < 2.8 || ratio > 3.2) << gauge << ' ' << ratio;
  }
}

TEST(Bundle, RefusesWhatItCannotRead) {
  for (const char* bad : {"", "2x26", "AWG", "0xAWG26", "2xAWG26 red", "xAWG26"}) {
    EXPECT_EQ(size_bore({bad}).error().code, "wire-conductors") << bad;
  }
  EXPECT_EQ(size_bore({}).error().code, "wire-conductors");
}

// Same rows: d 1.6, D 5 gives 10.24, 20.48, 30.72 and 40.96 %; three lie in the jam band (3.125).
TEST(Bundle, WorkedFillsAreThoseOfTheTable) {
  const double fills[] = {10.24, 20.48, 30.72, 40.96};
  for (int n = 1; n <= 4; ++n) {
    const BoreSize size = *size_bore({std::to_string(n) + "xAWG22"});
    EXPECT_NEAR(100 * size.fill_ratio * size.bore_mm * size.bore_mm / 25, fills[n - 1], 1e-9) << n;
    EXPECT_EQ(size.bore_mm > 5, n == 4) << n;  // four fail the fill of a bore of 5 mm
  }
}

// IEC 60028 (memory): times 1 + 0.00393 (T − 20).
TEST(Bundle, ResistanceGrowsWithWarmth) {
  EXPECT_NEAR(gauge_ohm_per_km(22, 60) / gauge_ohm_per_km(22), 1.1572, 1e-9);
}

// Derived (2·L·I·R): 12 V, 2 A, 3 m one way at 20 °C.
TEST(Bundle, VoltDropsAreThoseDerived) {
  const std::pair<int, double> rows[] = {
      {18, 0.2514}, {20, 0.3997}, {22, 0.6355}, {24, 1.0106}, {26, 1.6069}};
  for (const auto& [gauge, volts] : rows) {
    const VoltDrop drop = volt_drop(gauge, 3000, 2, 12);
    EXPECT_NEAR(drop.drop_v, volts, 1e-4) << gauge;
    EXPECT_NEAR(drop.drop_ratio, volts / 12, 1e-5);
    EXPECT_EQ(drop.gauge_for_3_percent, 18);  // 2.1 %; AWG 20 loses 3.3 %
    EXPECT_EQ(drop.gauge_for_5_percent, 20);
  }
  EXPECT_FALSE(volt_drop(18, 30000, 5, 5).gauge_for_5_percent);
}

// Derived: 25 × 8 in a bend of 30 needs 10.3 mm.
TEST(Bundle, APlugInABendNeedsMoreThanItsThickness) {
  EXPECT_NEAR(plug_in_bend_mm(25, 8, 30), 10.3, 0.02);
  EXPECT_GT(plug_in_bend_mm(25, 8, 15), plug_in_bend_mm(25, 8, 30));
  EXPECT_EQ(plug_in_bend_mm(25, 8, std::numeric_limits<double>::infinity()), 8);
}

// The plug's outline turned through the bend step by step stays between the bend's walls.
TEST(Bundle, TheThreadedBoxTouchesNoWallInTheBend) {
  for (const Vec3 box : {Vec3{8, 6, 20}, Vec3{4, 9, 30}, Vec3{12, 12, 14}}) {
    for (const double bend_mm : {15.0, 30.0, 80.0}) {
      const double radius_mm = threaded_bore_mm(box, bend_mm) / 2;
      const double thick = std::min(box.x, box.y), wide = std::max(box.x, box.y);
      // At the box's sides the round bore is lower than in its middle.
      const double half = std::sqrt(radius_mm * radius_mm - wide * wide / 4);
      const double inner = bend_mm - half, outer = bend_mm + half;
      for (int k = 0; k <= 40; ++k) {
        const double along = box.z * (k / 40.0 - 0.5);
        EXPECT_GE(std::hypot(inner, along), inner - 1e-9);
        EXPECT_LE(std::hypot(inner + thick, along), outer + 1e-6);
      }
    }
  }
}

TEST(Bundle, UnequalWiresPackNoTighterThanTheirAreasAndNoLooserThanEqualOnes) {
  const std::vector<std::vector<double>> cases{
      {2.1, 1.1}, {2.1, 1.1, 1.1}, {1.6, 1.6, 1.2, 1.2}, {2.1, 1.3, 1.3, 1.3, 1.1}};
  for (const auto& wires : cases) {
    double squares = 0;
    for (const double d : wires) squares += d * d;
    const double packed = packed_diameter_mm(wires);
    EXPECT_GT(packed, std::sqrt(squares));
    EXPECT_LE(packed, bundle_ratio(wires.size()) * wires[0] + 1e-12);
  }
  EXPECT_NEAR(packed_diameter_mm({2.1, 1.1}), 3.2, 1e-6);  // two in a row
  // Two of 1 and the two of 1/3 that fit beside them need no more than the two alone: elementary.
  EXPECT_NEAR(packed_diameter_mm({3, 3, 2, 2}), 6, 0.06);
}

}  // namespace
}  // namespace seamwright
