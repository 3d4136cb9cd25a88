#include "seamwright/profile/printer.h"

#include <gtest/gtest.h>

#include "support/fields.h"

namespace seamwright {
namespace {

TEST(Printer, IsWellDescribed) {
  testing::expect_well_described(Printer{});
}

TEST(Printer, HasTheKeysThatOutsideToolsRelyOn) {
  const auto keys = testing::keys_of(Printer{});
  for (const char* key : {"name", "room_mm", "margin_mm", "nozzle_mm", "acceleration_mm_per_s2",
                          "corner_jerk_mm_per_s", "travel_mm_per_s", "retraction_mm"}) {
    EXPECT_TRUE(keys.contains(key)) << key;
  }
}

// The default of the contract: a 180 mm cube, 5 mm at the sides and 2 mm above.
TEST(Printer, UsableRoomIsTheRoomLessItsMargins) {
  EXPECT_EQ(Printer{}.usable_mm(), (Vec3{170, 170, 178}));
}

}  // namespace
}  // namespace seamwright
