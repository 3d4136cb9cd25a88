#include "seamwright/handoff/loose_print.h"

#include <gtest/gtest.h>

#include "handoff/sample_hand_off.h"

namespace seamwright {
namespace {

TEST(LoosePrint, IsCountedInTheTotalsOfItsPrinter) {
  HandOff hand_off = testing::sample_hand_off();
  hand_off.loose_prints.clear();
  const PrintTotals before = print_totals(hand_off);
  hand_off.loose_prints.push_back({0, 600, 200, 1000, 3});
  hand_off.loose_prints.push_back({0, 300, 100, 500, 1.5});
  const PrintTotals after = print_totals(hand_off);
  EXPECT_NEAR(after.print_s, before.print_s + 900, 1e-9);
  EXPECT_NEAR(after.fast_print_s, before.fast_print_s + 300, 1e-9);
  EXPECT_NEAR(after.filament_mm, before.filament_mm + 1500, 1e-9);
  EXPECT_NEAR(after.mass_g, before.mass_g + 4.5, 1e-9);
  EXPECT_NEAR(after.loose_print_s, 900, 1e-12);
  EXPECT_NEAR(after.loose_mass_g, 4.5, 1e-12);
  EXPECT_GT(after.busiest_print_s, before.busiest_print_s);
}

}  // namespace
}  // namespace seamwright
