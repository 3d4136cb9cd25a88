#include "seamwright/printing/filament.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

// CHECKS.md, materials and beads; source: elementary geometry.
TEST(Filament, BeadSectionsAreRectanglesWithRoundSides) {
  EXPECT_NEAR(bead_section_mm2(0.45, 0.20), 0.0814159, 1e-7);
  EXPECT_NEAR(bead_section_mm2(0.40, 0.20), 0.0714159, 1e-7);
  EXPECT_NEAR(bead_section_mm2(0.60, 0.30), 0.160686, 1e-6);
}

// CHECKS.md, materials and beads; derived.
TEST(Filament, SectionsAndLengthPerMassAreThoseOfRoundWire) {
  Material pla;
  EXPECT_NEAR(filament_section_mm2(pla), 2.40528, 1e-5);
  EXPECT_NEAR(filament_length_mm(1e6 / pla.density_g_per_cm3, pla) / 1000, 335.28, 0.01);
  pla.filament_mm = 2.85;
  EXPECT_NEAR(filament_section_mm2(pla), 6.37940, 1e-5);
}

// CHECKS.md, materials and beads: 100 m of 0.45 × 0.20 bead in PLA; derived.
TEST(Filament, AHundredMetresOfBeadWeighTenGrams) {
  const Material pla;
  const double volume_mm3 = 100'000 * bead_section_mm2(0.45, 0.20);
  EXPECT_NEAR(volume_mm3, 8141.6, 0.05);
  EXPECT_NEAR(plastic_mass_g(volume_mm3, pla), 10.096, 0.001);
  EXPECT_NEAR(filament_length_mm(volume_mm3, pla), 3384.9, 0.1);
}

// PRINTING.md, trap 6: a stadium at the same spacing loses 5 to 16 %.
TEST(Filament, LinesSideBySideLeaveNoGaps) {
  EXPECT_DOUBLE_EQ(line_section_mm2(0.4, 0.2), 0.08);
  const double lost_ratio = 1 - bead_section_mm2(0.4, 0.2) / line_section_mm2(0.4, 0.2);
  EXPECT_GT(lost_ratio, 0.05);
  EXPECT_LT(lost_ratio, 0.16);
}

}  // namespace
}  // namespace seamwright
