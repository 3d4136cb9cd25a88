#include "seamwright/profile/material.h"

#include <gtest/gtest.h>

#include "support/fields.h"

namespace seamwright {
namespace {

TEST(Material, IsWellDescribed) {
  testing::expect_well_described(Material{});
}

TEST(Material, HasTheKeysThatOutsideToolsRelyOn) {
  const auto keys = testing::keys_of(Material{});
  for (const char* key : {"name", "density_g_per_cm3", "price_per_kg", "spool_g", "shrink_ratio",
                          "flow_limit_mm3_per_s"}) {
    EXPECT_TRUE(keys.contains(key)) << key;
  }
}

}  // namespace
}  // namespace seamwright
