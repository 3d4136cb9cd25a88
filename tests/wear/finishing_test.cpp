#include "seamwright/wear/finishing.h"

#include <gtest/gtest.h>

#include "support/fields.h"

namespace seamwright {
namespace {

constexpr FinishInput kOneMetre{
    .shown_mm = 1000, .hidden_mm = 2000, .skin_mm2 = 5e5, .joint_mm2 = 4000, .joint_count = 3};

// By hand: V of 2.2 x 1.1 has 1.21 mm², 1.21 ml a metre, 1.5004 g of PLA; the fairing 20 x 0.3 / 2
// is 3 ml; glue 4000 x 0.15 is 0.6 ml; primer 0.5 m² x 2 x 120 is 120 ml; 30 % on top.
TEST(Finishing, AmountsAreThoseWorkedByHand) {
  const FinishNeeds needs = finish_needs(kOneMetre);
  EXPECT_NEAR(needs.weld_g, 1.5004 * 1.3, 1e-9);
  EXPECT_NEAR(needs.filler_ml, 3 * 1.3, 1e-9);
  EXPECT_NEAR(needs.glue_ml, 0.6 * 1.3, 1e-9);
  EXPECT_NEAR(needs.primer_ml, 120 * 1.3, 1e-9);
}

TEST(Finishing, HoursAreLengthsTimesTheMakersRates) {
  const FinishNeeds needs = finish_needs(kOneMetre);
  EXPECT_NEAR(needs.all_h(), 3 * 0.15 + 0.8 + 0.7 + 1.5 + 2 * 0.3 + 0.5 * 0.6, 1e-9);
}

TEST(Finishing, WithoutAWeldTheGrooveIsFilled) {
  const FinishNeeds needs = finish_needs(kOneMetre, {.has_weld = false});
  EXPECT_EQ(needs.weld_g, 0);
  EXPECT_EQ(needs.weld_h, 0);
  EXPECT_NEAR(needs.filler_ml, (3 + 1.21) * 1.3, 1e-9);
}

TEST(Finishing, IsWellDescribed) {
  testing::expect_well_described(FinishChoice{});
}

}  // namespace
}  // namespace seamwright
