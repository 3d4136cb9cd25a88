#include "seamwright/handoff/days_json.h"

#include <gtest/gtest.h>

#include "days/sample_days.h"

namespace seamwright {
namespace {

NamedDays sample(const std::string& title) {
  NamedDays days{title, {"PLA", "PETG"}, testing::sample_days()};
  days.input.material_count = 2;
  days.input.pieces[2].material = 1;
  days.input.pieces[3].spool_group = days.input.pieces[4].spool_group = 0;
  days.input.pieces[5].print_s[1].reset();
  days.input.printers[1].awake = {"sat 09:00-12:00"};
  for (const DayPiece& piece : days.input.pieces) days.input.thick_print_s.push_back(piece.print_s);
  days.input.thick_layer_mm = 0.28;
  return days;
}

TEST(DaysJson, ReadingWhatWasWrittenGivesTheSameInput) {
  const NamedDays days = sample("carapace \"one\"");
  const auto back = read_days_json(days_json(days));
  ASSERT_TRUE(back.has_value());
  EXPECT_EQ(days_json(*back), days_json(days));
  EXPECT_EQ(back->title, days.title);
  EXPECT_EQ(back->input.pieces[5].print_s, days.input.pieces[5].print_s);
  EXPECT_EQ(back->input.choice.awake, days.input.choice.awake);
  const auto a = plan_days(days.input), b = plan_days(back->input);
  EXPECT_EQ(a->calendar.entries, b->calendar.entries);
}

TEST(DaysJson, FitsToTheRecordsOfToday) {
  const NamedDays written = sample("x");
  PrinterRecord record{
      .printer = written.input.printers[1].load.name, .prints = {}, .slide_clearance_mm = {}};
  for (int i = 0; i < 5; ++i) ASSERT_TRUE(add_print(record, {"A1", 10000, 100, 12000, 110}));
  NamedDays fitted = written;
  fit_days(fitted, std::span(&record, 1));
  EXPECT_EQ(*fitted.input.pieces[0].print_s[0], *written.input.pieces[0].print_s[0]);
  EXPECT_NEAR(*fitted.input.pieces[0].print_s[1], 1.2 * *written.input.pieces[0].print_s[1], 1e-6);
  EXPECT_FALSE(fitted.input.pieces[5].print_s[1].has_value());
  EXPECT_EQ(fitted.input.band_ratio, 0.15) << "the other printer has no record";
  // Fitted once is fitted: the factors it was written with are in the file.
  NamedDays twice = read_days_json(days_json(fitted)).value();
  fit_days(twice, std::span(&record, 1));
  EXPECT_NEAR(*twice.input.pieces[0].print_s[1], *fitted.input.pieces[0].print_s[1], 1e-6);
}

TEST(DaysJson, RefusesWhatIsNotSuchAFile) {
  const std::string good = days_json(sample("x"));
  for (const std::string& bytes :
       {std::string(), std::string("[]"), std::string("{}"), good.substr(0, good.size() / 2)}) {
    const auto read = read_days_json(bytes);
    ASSERT_FALSE(read.has_value());
    EXPECT_EQ(read.error().code, "bad-days-file");
  }
  std::string wrong = good;
  const std::string wanted = "\"planned_printer\":0";
  wrong.replace(wrong.find(wanted), wanted.size(), "\"planned_printer\":9");
  EXPECT_FALSE(read_days_json(wrong).has_value());
}

TEST(DaysJson, JoinsPartsOnTheSamePrinters) {
  NamedDays a = sample("carapace"), b = sample("tail fan");
  b.input.printers[1].load.name = "third";
  const std::vector<NamedDays> parts{a, b};
  const NamedDays joined = join_days(parts);
  EXPECT_EQ(joined.input.printers.size(), 3u);
  EXPECT_EQ(joined.input.pieces.size(), 18u);
  EXPECT_EQ(joined.input.pieces[0].mark, "carapace A1");
  EXPECT_EQ(joined.input.pieces[9].mark, "tail fan A1");
  EXPECT_FALSE(joined.input.pieces[9].print_s[1].has_value())
      << "not on a printer it was not planned for";
  EXPECT_TRUE(joined.input.pieces[9].print_s[2].has_value());
  EXPECT_EQ(joined.materials, (std::vector<std::string>{"PLA", "PETG"}));
  EXPECT_NE(joined.input.pieces[3].spool_group, joined.input.pieces[12].spool_group);
  const auto plan = plan_days(joined.input);
  ASSERT_TRUE(plan.has_value()) << plan.error().message;
  std::size_t count = 0;
  for (const Load& load : plan->loads) count += load.pieces.size();
  EXPECT_EQ(count, 18u);
}

}  // namespace
}  // namespace seamwright
