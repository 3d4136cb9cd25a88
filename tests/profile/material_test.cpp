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

// CHECKS.md: densities of makers' data sheets (memory).
TEST(Material, KnownFilamentsBringTheirDensity) {
  const std::pair<const char*, double> rows[] = {{"PLA", 1.24}, {"PETG", 1.27}, {"ABS", 1.04},
                                                 {"ASA", 1.07}, {"TPU", 1.21},  {"PA12", 1.01}};
  for (const auto& [name, density] : rows)
    EXPECT_EQ(preset_material(name)->density_g_per_cm3, density) << name;
  EXPECT_GT(preset_material("ABS")->warp_ratio, preset_material("PLA")->warp_ratio);
  EXPECT_FALSE(preset_material("glass"));
}

}  // namespace
}  // namespace seamwright
