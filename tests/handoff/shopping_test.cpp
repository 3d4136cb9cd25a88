#include "seamwright/handoff/shopping.h"

#include <gtest/gtest.h>

#include "handoff/sample_hand_off.h"

namespace seamwright {
namespace {

const ShoppingLine* line_of(const std::vector<ShoppingLine>& lines, const std::string& begin) {
  for (const ShoppingLine& line : lines) {
    if (line.what.starts_with(begin)) return &line;
  }
  return nullptr;
}

TEST(Shopping, ListsWhatTheSampleNeeds) {
  HandOff hand_off = testing::sample_hand_off();
  const auto lines = shopping_list(hand_off);
  // 120.3 g of PLA: one spool. One dowel, 10 mm deep on both sides. 80 mm of channel and two tails.
  ASSERT_NE(line_of(lines, "PLA"), nullptr);
  EXPECT_EQ(line_of(lines, "PLA")->amount, "1");
  EXPECT_EQ(line_of(lines, "rod of 4.00 mm")->amount, "2.0 cm");
  EXPECT_EQ(line_of(lines, "wire for tail light")->amount, "68.0 cm");
  // Glue: 2400 mm² x 0.15 mm x 1.3 = 0.468 ml, rounded up.
  EXPECT_EQ(line_of(lines, "glue")->amount, "1 ml");
  ASSERT_NE(line_of(lines, "primer"), nullptr);
}

TEST(Shopping, BuysNoGlueForJointsThatComeApart) {
  HandOff hand_off = testing::sample_hand_off();
  hand_off.joints[0].is_glued = false;
  EXPECT_EQ(line_of(shopping_list(hand_off), "glue"), nullptr);
}

TEST(Shopping, CsvQuotesItsFields) {
  const std::string csv = shopping_csv({{"glue, \"fast\"", "3 ml", "area"}});
  EXPECT_EQ(csv, "what,amount,how\r\n\"glue, \"\"fast\"\"\",\"3 ml\",\"area\"\r\n");
}

}  // namespace
}  // namespace seamwright
