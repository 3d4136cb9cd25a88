#include "seamwright/days/plan_days.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "days/sample_days.h"
#include "seamwright/days/chart.h"

namespace seamwright {
namespace {

TEST(PlanDays, StartsWithTheTrialPiecesAtTheFirstMomentSomebodyIsAwake) {
  const auto plan = plan_days(testing::sample_days());
  ASSERT_TRUE(plan.has_value()) << plan.error().message;
  EXPECT_EQ(minute_words(*plan, plan->calendar.entries.front().swap_min), "Thu 1 Oct 18:00");
  Minute first_trial = 1'000'000;
  for (const CalendarEntry& entry : plan->calendar.entries) {
    if (plan->loads[entry.load].is_trial) first_trial = std::min(first_trial, entry.swap_min);
  }
  EXPECT_EQ(first_trial, plan->from_min);
}

TEST(PlanDays, CountsDaysFromAMondayWithoutADate) {
  DaysInput input = testing::sample_days();
  input.choice.start.clear();
  const auto plan = plan_days(input);
  ASSERT_TRUE(plan.has_value());
  EXPECT_FALSE(plan->has_date);
  // What begins at 6:30 would run into the empty house; the first load begins in the evening.
  EXPECT_EQ(minute_words(*plan, plan->calendar.entries.front().swap_min), "day 1, Mon 18:00");
}

TEST(PlanDays, ToldThatTheDeadlineIsMissedSaysByHowMuchAndPlansWhatWouldHelpAnew) {
  DaysInput input = testing::sample_days();
  input.choice.deadline = "2026-10-03 12:00";
  for (const DayPiece& piece : input.pieces) {
    input.thick_print_s.push_back(piece.print_s);
    for (auto& s : input.thick_print_s.back()) *s *= 0.6;
  }
  input.thick_layer_mm = 0.28;
  const auto plan = plan_days(input);
  ASSERT_TRUE(plan.has_value());
  ASSERT_GT(plan->late_min(), 0);
  EXPECT_EQ(plan->late_min(), plan->calendar.done_with_reserve_min - *plan->deadline_min);
  ASSERT_FALSE(plan->helps.empty());
  for (std::size_t i = 0; i < plan->helps.size(); ++i) {
    EXPECT_LT(plan->helps[i].done_min, plan->calendar.done_with_reserve_min) << plan->helps[i].what;
    EXPECT_LE(plan->helps[i == 0 ? 0 : i - 1].done_min, plan->helps[i].done_min);
  }
  // The help is what that plan really gives.
  DaysInput thicker = input;
  for (std::size_t i = 0; i < input.pieces.size(); ++i)
    thicker.pieces[i].print_s = input.thick_print_s[i];
  const auto replanned = plan_days(thicker);
  const auto said = std::find_if(plan->helps.begin(), plan->helps.end(), [](const Help& help) {
    return help.what.find("0.28") != std::string::npos;
  });
  ASSERT_NE(said, plan->helps.end());
  EXPECT_EQ(said->done_min, replanned->calendar.done_with_reserve_min);
}

TEST(PlanDays, OffersPrintersOfOneKindOnceAndNeverTheEmptyHouse) {
  DaysInput input = testing::sample_days();
  input.choice.deadline = "2026-10-03 12:00";
  const auto borrowed = [&] {
    std::vector<std::string> list;
    const Result<DayPlan> plan = plan_days(input);
    for (const Help& help : plan->helps) {
      EXPECT_EQ(help.what.find("empty house"), std::string::npos);
      if (help.what.starts_with("borrow")) list.push_back(help.what);
    }
    return list;
  };
  EXPECT_EQ(borrowed(),
            std::vector<std::string>{"borrow one more printer like left, by the door or right"});
  input.pieces[0].print_s[1] = 2 * *input.pieces[0].print_s[1];
  EXPECT_EQ(borrowed().size(), 2u);
}

TEST(PlanDays, TellsWhatFewerPiecesGive) {
  DaysInput input = testing::sample_days();
  input.choice.deadline = "2026-10-03 12:00";
  const auto plan = plan_days(input);
  ASSERT_GT(plan->late_min(), 0);
  const auto said = std::find_if(plan->helps.begin(), plan->helps.end(), [](const Help& help) {
    return help.what.find("fewer piece") != std::string::npos;
  });
  ASSERT_NE(said, plan->helps.end());
  EXPECT_LE(said->done_min, *plan->deadline_min);
  DaysInput fewer = input;
  std::erase_if(fewer.pieces, [&](const DayPiece& piece) {
    return said->what.find(piece.mark) != std::string::npos;
  });
  EXPECT_LT(fewer.pieces.size(), input.pieces.size());
  EXPECT_EQ(said->done_min, plan_days(fewer)->calendar.done_with_reserve_min)
      << "what is said is what that plan gives";
  for (const std::string& mark : plan->late_pieces)
    EXPECT_NE(said->what.find(mark), std::string::npos) << mark;
}

TEST(PlanDays, WithoutADeadlineALongPlanSaysWhatOneMorePrinterSaves) {
  DaysInput input = testing::sample_days();
  ASSERT_TRUE(plan_days(input)->helps.empty()) << "less than a week";
  const std::vector<DayPiece> once = input.pieces;
  while (plan_days(input)->calendar.done_with_reserve_min < 9 * 24 * 60)
    for (DayPiece piece : once) {
      piece.mark += fmt::format("-{}", input.pieces.size());
      input.pieces.push_back(piece);
    }
  const auto plan = plan_days(input);
  ASSERT_EQ(plan->helps.size(), 1u);
  EXPECT_EQ(plan->helps[0].what, "borrow one more printer like left, by the door or right");
  DaysInput more = input;
  more.printers.push_back(input.printers[0]);
  for (DayPiece& piece : more.pieces) piece.print_s.push_back(piece.print_s[0]);
  EXPECT_EQ(plan->helps[0].done_min, plan_days(more)->calendar.done_with_reserve_min);
  EXPECT_LE(plan->helps[0].done_min, plan->calendar.done_with_reserve_min - 24 * 60);
  const std::string said = calendar_sentences(*plan).back();
  EXPECT_NE(said.find("Planned anew: borrow one more printer like"), std::string::npos);
  EXPECT_NE(said.find(" sooner."), std::string::npos) << said;
}

TEST(PlanDays, SaysNothingOfHelpWhenTheDeadlineIsKept) {
  DaysInput input = testing::sample_days();
  input.choice.deadline = "2026-11-01";
  const auto plan = plan_days(input);
  EXPECT_EQ(plan->late_min(), 0);
  EXPECT_TRUE(plan->helps.empty());
  EXPECT_TRUE(plan->late_pieces.empty());
}

TEST(PlanDays, TellsTheEndWhenEveryPrintTakesTheBandLonger) {
  const DaysInput input = testing::sample_days();
  DaysInput longer = input;
  for (DayPiece& piece : longer.pieces) {
    for (auto& s : piece.print_s) *s *= 1 + input.band_ratio;
  }
  const auto plan = plan_days(input);
  EXPECT_EQ(plan->slow_done_min, plan_days(longer)->calendar.done_with_reserve_min);
}

TEST(PlanDays, RunsNothingAtNightWhenNightsAreForbidden) {
  DaysInput input = testing::sample_days();
  input.choice.has_nights = false;
  for (DayPiece& piece : input.pieces) {
    for (auto& s : piece.print_s) *s /= 4;
  }
  const auto plan = plan_days(input);
  ASSERT_TRUE(plan.has_value()) << plan.error().message;
  EXPECT_EQ(plan->night_count, 0u);
}

TEST(PlanDays, GivesAPrinterItsOwnHours) {
  DaysInput input = testing::sample_days();
  input.printers[1].awake = input.printers[1].home = {"sat-sun 08:00-20:00"};
  const auto plan = plan_days(input);
  ASSERT_TRUE(plan.has_value()) << plan.error().message;
  for (const CalendarEntry& entry : plan->calendar.entries) {
    if (entry.printer != 1) continue;
    const std::string words = minute_words(*plan, entry.swap_min);
    EXPECT_TRUE(words.starts_with("Sat") || words.starts_with("Sun")) << words;
  }
}

TEST(PlanDays, RefusesADeadlineWithoutOrBeforeAStart) {
  DaysInput input = testing::sample_days();
  input.choice.deadline = "2026-09-01";
  EXPECT_EQ(plan_days(input).error().code, "bad-days");
  input.choice.start.clear();
  EXPECT_EQ(plan_days(input).error().code, "bad-days");
  input.choice.start = "soon";
  EXPECT_EQ(plan_days(input).error().code, "bad-moment");
}

TEST(PlanDays, FindsWhatIsWrongWithDatesAndHoursWithoutAnyPiece) {
  EXPECT_FALSE(find_days_fault({}));
  DaysChoice choice{.start = "2026-10-01 18:00", .deadline = "2026-10-01 18:01"};
  EXPECT_FALSE(find_days_fault(choice));
  choice.deadline = "2026-10-01 18:00";
  EXPECT_EQ(find_days_fault(choice).value().key, "deadline");
  choice.asleep = {"mon-sun 23:00-06:30", "noon"};
  const DaysFault fault = find_days_fault(choice).value();
  EXPECT_EQ(fault.key, "asleep") << "texts are read before they are compared";
  EXPECT_EQ(fault.index, 1u);
  EXPECT_EQ(fault.error.code, "bad-hours");
}

}  // namespace
}  // namespace seamwright
