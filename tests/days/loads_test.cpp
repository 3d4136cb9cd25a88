#include "seamwright/days/loads.h"

#include <gtest/gtest.h>

#include <set>

#include "days/polygon_check.h"
#include "days/sample_days.h"

namespace seamwright {
namespace {

std::vector<LoadPrinter> two_printers() {
  std::vector<LoadPrinter> printers{testing::plain_printer("a").load,
                                    testing::plain_printer("b").load};
  for (LoadPrinter& printer : printers) printer.longest_s = 48 * 3600;
  return printers;
}

void expect_each_piece_once(std::span<const Load> loads, std::size_t count) {
  std::set<std::size_t> seen;
  for (const Load& load : loads) {
    for (const std::size_t piece : load.pieces) EXPECT_TRUE(seen.insert(piece).second);
  }
  EXPECT_EQ(seen.size(), count);
}

TEST(Loads, HoldEachPieceOnceAndNothingOverlaps) {
  const DaysInput input = testing::sample_days();
  const auto printers = two_printers();
  for (const PerLoad per_load : {PerLoad::one, PerLoad::few, PerLoad::many}) {
    const auto loads = plan_loads(input.pieces, printers, {.per_load = per_load});
    ASSERT_TRUE(loads.has_value());
    expect_each_piece_once(*loads, input.pieces.size());
    for (const Load& load : *loads) {
      std::vector<NestItem> items;
      for (const std::size_t piece : load.pieces) items.push_back({input.pieces[piece].outline});
      for (std::size_t p = 0; p < printers.size(); ++p) {
        if (load.places[p])
          testing::expect_lies_well(items, printers[p].bed, {*load.places[p], {}, 0},
                                    load.pieces.size() > 1 ? 4 : 0);
      }
    }
  }
}

TEST(Loads, OfOnePieceAreAsManyAsPiecesAndOfManyAreFewest) {
  const DaysInput input = testing::sample_days();
  const auto printers = two_printers();
  const auto count = [&](PerLoad per_load) {
    return plan_loads(input.pieces, printers, {.per_load = per_load, .few_h = 20})->size();
  };
  EXPECT_EQ(count(PerLoad::one), input.pieces.size());
  EXPECT_LT(count(PerLoad::few), count(PerLoad::one));
  EXPECT_LE(count(PerLoad::many), count(PerLoad::few));
}

TEST(Loads, OfFewPiecesKeepTheirHours) {
  const DaysInput input = testing::sample_days();
  const auto loads =
      plan_loads(input.pieces, two_printers(), {.per_load = PerLoad::few, .few_h = 12});
  for (const Load& load : *loads) {
    EXPECT_TRUE(load.pieces.size() == 1 || *load.print_s[0] <= 12 * 3600);
  }
}

TEST(Loads, OfFewPiecesTakeAsManySmallOnesAsTheHoursAllow) {
  std::vector<DayPiece> pieces{testing::block_piece("A1", {60, 60}, 2, 10, 2)};
  for (int i = 0; i < 20; ++i) {
    pieces.push_back(testing::block_piece("J" + std::to_string(i), {60, 4}, 0.5, 3, 2));
    pieces.back().is_small = true;
  }
  const auto loads =
      plan_loads(pieces, two_printers(), {.per_load = PerLoad::few, .few_h = 8, .few_count = 3});
  expect_each_piece_once(*loads, pieces.size());
  EXPECT_EQ(loads->size(), 2u) << "12 h in all";
  for (const Load& load : *loads) EXPECT_LE(*load.print_s[0], 8 * 3600);
  EXPECT_EQ(plan_loads(pieces, two_printers(), {.per_load = PerLoad::one})->size(), 21u);
}

TEST(Loads, TakeTheTimeOfTheirPiecesLessWhatIsDoneOncePlusTheHops) {
  std::vector<DayPiece> pieces{testing::block_piece("A1", {60, 60}, 2, 10, 1),
                               testing::block_piece("A2", {60, 60}, 3, 10, 1)};
  pieces[0].layer_count = 100;
  pieces[1].layer_count = 300;
  std::vector<LoadPrinter> printers{two_printers()[0]};
  printers[0].hop_s = 0.25;
  const auto loads = plan_loads(pieces, printers, {.per_load = PerLoad::many});
  ASSERT_EQ(loads->size(), 1u);
  const Load& load = loads->front();
  // Middles of two squares of 60 that keep 4 mm: 64 to 65 mm apart. 100 layers are shared, 2 hops
  // each.
  const double least_s = 5 * 3600 - 240 + 200 * (64 / 120.0 + 0.25);
  EXPECT_GE(*load.print_s[0], least_s - 1e-6);
  EXPECT_LE(*load.print_s[0], least_s + 200 * 2 / 120.0);
}

TEST(Loads, NeverMixMaterialsSpoolGroupsOrTrials) {
  std::vector<DayPiece> pieces;
  for (int i = 0; i < 8; ++i) {
    pieces.push_back(testing::block_piece("P" + std::to_string(i), {30, 30}, 1, 5, 2));
    pieces.back().material = i % 2;
    if (i % 4 == 0) pieces.back().spool_group = 1;
    pieces.back().is_trial = i < 2;
  }
  const auto loads = plan_loads(pieces, two_printers(), {.per_load = PerLoad::many});
  expect_each_piece_once(*loads, pieces.size());
  for (const Load& load : *loads) {
    for (const std::size_t piece : load.pieces) {
      EXPECT_EQ(pieces[piece].material, load.material);
      EXPECT_EQ(pieces[piece].spool_group, load.spool_group);
      EXPECT_EQ(pieces[piece].is_trial, load.is_trial);
    }
  }
}

TEST(Loads, RefuseAPieceThatLiesOnNoBed) {
  const std::vector<DayPiece> pieces{testing::block_piece("A1", {300, 200}, 2, 10, 2)};
  auto printers = two_printers();
  printers[0].bed = round_bed({100, 100}, 180);
  const auto loads = plan_loads(pieces, printers);
  ASSERT_FALSE(loads.has_value());
  EXPECT_EQ(loads.error().code, "piece-off-bed");
  EXPECT_NE(loads.error().message.find("A1"), std::string::npos);
}

}  // namespace
}  // namespace seamwright
