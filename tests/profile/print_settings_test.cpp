#include "seamwright/profile/print_settings.h"

#include <gtest/gtest.h>

#include "support/fields.h"

namespace seamwright {
namespace {

TEST(PrintSettings, IsWellDescribed) {
  testing::expect_well_described(PrintSettings{});
}

TEST(PrintSettings, HasTheKeysThatOutsideToolsRelyOn) {
  const auto keys = testing::keys_of(PrintSettings{});
  for (const char* key :
       {"layer_mm", "line_width_mm", "wall_count", "top_layers", "bottom_layers", "fill_ratio",
        "brim_mm", "nominal_mm_per_s", "outer_wall_mm_per_s", "inner_wall_mm_per_s",
        "solid_fill_mm_per_s", "top_skin_mm_per_s", "sparse_fill_mm_per_s", "heating_s"}) {
    EXPECT_TRUE(keys.contains(key)) << key;
  }
}

// PRINTING's defaults, assumptions: outer wall and skins at half of nominal, inner walls at 0.8.
TEST(PrintSettings, SpeedsFollowTheNominalUnlessGiven) {
  PrintSettings print;
  print.nominal_mm_per_s = 100;
  EXPECT_EQ(print.outer_wall_speed(), 50);
  EXPECT_EQ(print.inner_wall_speed(), 80);
  print.inner_wall_mm_per_s = 33;
  EXPECT_EQ(print.inner_wall_speed(), 33);
}

}  // namespace
}  // namespace seamwright
