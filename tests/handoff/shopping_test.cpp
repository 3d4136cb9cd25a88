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
  // 120.3 g of PLA: one spool. One dowel, 10 mm deep on both sides, 1 mm of it
  // left to the glue. 80 mm of channel and 80 mm of slack at both ends.
  ASSERT_NE(line_of(lines, "PLA"), nullptr);
  EXPECT_EQ(line_of(lines, "PLA")->amount(), "1");
  EXPECT_EQ(line_of(lines, "rod of 4.00 mm")->amount(), "1.9 cm");
  EXPECT_EQ(line_of(lines, "wire for tail light")->amount(), "24.0 cm");
  // Glue: 2400 mm² x 0.15 mm x 1.3 = 0.468 ml, rounded up.
  EXPECT_EQ(line_of(lines, "glue")->amount(), "1 ml");
  ASSERT_NE(line_of(lines, "primer"), nullptr);
}

// 609 + 2 x 80 mm is cut to 77 cm, twice; 11.8 + 16 cm to 28 cm and 16.1 + 16 cm to 33 cm, twice
// each.
TEST(Shopping, BuysWireForEveryConductorAsTheHarnessCutsIt) {
  HandOff hand_off = testing::sample_hand_off();
  hand_off.channels = {Channel{.name = "spine", .length_mm = 609},
                       Channel{.name = "left", .length_mm = 118},
                       Channel{.name = "right", .length_mm = 161}};
  for (Channel& channel : hand_off.channels) channel.wire.conductors = {"2xAWG26"};
  hand_off.channels[0].wire.conductors = {"2xAWG24"};
  const auto lines = shopping_list(hand_off);
  EXPECT_EQ(line_of(lines, "wire, AWG 24")->amount(), "1.54 m");
  EXPECT_EQ(line_of(lines, "wire, AWG 26")->amount(), "1.22 m");
  EXPECT_NE(line_of(lines, "wire, AWG 26")->how.find("2 x 33.0 cm for right"), std::string::npos);
}

TEST(Shopping, LengthsAreRoundedUp) {
  EXPECT_EQ((ShoppingLine{"rod", {.length_mm = 72.4}, ""}).amount(), "7.3 cm");
  EXPECT_EQ((ShoppingLine{"wire", {.length_mm = 1541}, ""}).amount(), "1.55 m");
}

TEST(Shopping, BuysNoGlueForJointsThatComeApart) {
  HandOff hand_off = testing::sample_hand_off();
  hand_off.joints[0].is_glued = false;
  EXPECT_EQ(line_of(shopping_list(hand_off), "glue"), nullptr);
}

TEST(Shopping, ListsTwoMagnetsAKeyAndOneModuleAPocketAndASparsRod) {
  HandOff hand_off = testing::sample_hand_off();
  hand_off.joints[0].kind = KeyKind::magnet;
  for (Key& key : hand_off.joints[0].keys) key.kind = KeyKind::magnet;
  hand_off.pockets = {Pocket{.name = "eye", .size_mm = {5.2, 5.2, 9}},
                      Pocket{.name = "other eye", .size_mm = {5.2, 5.2, 9}}};
  hand_off.channels.push_back(
      Channel{.name = "back", .kind = "spar", .path = {}, .length_mm = 300, .diameter_mm = 6});
  const auto lines = shopping_list(hand_off);
  ASSERT_NE(line_of(lines, "disc magnet of 6.0 x 3.0 mm"), nullptr);
  EXPECT_EQ(line_of(lines, "disc magnet")->amount(), "4");
  EXPECT_EQ(line_of(lines, "lamp or module for a round seat of 5.2 mm")->amount(), "2");
  EXPECT_EQ(line_of(lines, "rod of 6.00 mm for back")->amount(), "30.0 cm");
}

TEST(Shopping, ListsScrewsWithTheirInsertsOrNuts) {
  HandOff hand_off = testing::sample_hand_off();
  hand_off.joints[0].kind = KeyKind::flange;
  for (Key& key : hand_off.joints[0].keys) {
    key.kind = KeyKind::flange;
    key.length_mm = 8;
  }
  hand_off.joinery.insert = InsertThread::m4;
  auto lines = shopping_list(hand_off);
  ASSERT_NE(line_of(lines, "M4 screw of 8 mm"), nullptr);
  EXPECT_EQ(line_of(lines, "M4 screw")->amount(), "2");
  ASSERT_NE(line_of(lines, "heat-set insert M4 of 8.1 mm"), nullptr);
  EXPECT_EQ(line_of(lines, "heat-set insert")->amount(), "2");
  EXPECT_EQ(line_of(lines, "M4 nut"), nullptr);
  hand_off.joinery.insert = InsertThread::none;
  lines = shopping_list(hand_off);
  EXPECT_EQ(line_of(lines, "M3 nut")->amount(), "2");
  EXPECT_EQ(line_of(lines, "heat-set insert"), nullptr);
}

// Two of one and one of the other: 2 x 700 + 400 g are two spools of 1000 g, not three.
TEST(Shopping, OfABuildIsSummedAndSpoolsAreRoundedUpOnce) {
  const ShoppingLine spool{"PLA", {.mass_g = 700, .spool_g = 1000}, "laid"};
  ShoppingLine less = spool;
  less.need.mass_g = 400;
  const std::vector<ShoppingPart> parts{{"wing", 2, {spool, {"glue", {.volume_ml = 2.3}, "area"}}},
                                        {"tail", 1, {less}}};
  const auto lines = join_shopping(parts, 1);
  ASSERT_EQ(lines.size(), 2u);
  EXPECT_EQ(lines[0].amount(), "2");
  EXPECT_EQ(lines[1].amount(), "5 ml");
  EXPECT_EQ(lines[1].how, "2 of wing, each: area");
  EXPECT_EQ(join_shopping(parts, 3)[0].amount(), "3") << "each printer begins its own";
}

TEST(Shopping, CsvQuotesItsFields) {
  const std::string csv = shopping_csv({{"glue, \"fast\"", {.volume_ml = 2.2}, "area"}});
  EXPECT_EQ(csv, "what,amount,how\r\n\"glue, \"\"fast\"\"\",\"3 ml\",\"area\"\r\n");
}

}  // namespace
}  // namespace seamwright
