#include "seamwright/profile/cost.h"

#include <gtest/gtest.h>

#include "support/fields.h"

namespace seamwright {
namespace {

TEST(CostWeights, IsWellDescribed) {
  testing::expect_well_described(CostWeights{});
}

TEST(CostWeights, HasTheKeysThatOutsideToolsRelyOn) {
  const auto keys = testing::keys_of(CostWeights{});
  for (const char* key : {"weights", "shown_h_per_cm", "hidden_h_per_cm", "piece_h"}) {
    EXPECT_TRUE(keys.contains(key)) << key;
  }
}

TEST(CostWeights, PresetsAreThoseOfTheDesign) {
  EXPECT_EQ(preset_weights("raw")->shown_h_per_cm, 0.02);
  EXPECT_EQ(preset_weights("painted")->hidden_h_per_cm, 0.007);
  EXPECT_EQ(preset_weights("show")->shown_h_per_cm, 0.06);
  EXPECT_FALSE(preset_weights("gold"));
}

TEST(CostWeights, TheTablePresetCountsLengthsAndPiecesOnly) {
  const CostWeights table = *preset_weights("table");
  EXPECT_EQ(table.shown_h_per_cm, 0.02);
  EXPECT_EQ(table.hidden_h_per_cm, 0.002);
  EXPECT_EQ(table.piece_h, 0.5);
  EXPECT_EQ(table.support_h_per_cm2 + table.failure_h + table.failure_per_h, 0);
}

}  // namespace
}  // namespace seamwright
