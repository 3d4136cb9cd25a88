#include "seamwright/wiring/bundle.h"

#include <gtest/gtest.h>

#include <cmath>

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

}  // namespace
}  // namespace seamwright
