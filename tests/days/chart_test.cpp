#include "seamwright/days/chart.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "days/sample_days.h"

namespace seamwright {
namespace {

const std::vector<std::string> kNames{"left, by the door", "right <2>"};

std::size_t count_of(const std::string& text, const std::string& word) {
  std::size_t count = 0;
  for (std::size_t at = text.find(word); at != std::string::npos; at = text.find(word, at + 1))
    ++count;
  return count;
}

TEST(Chart, TableHasOneLineALoad) {
  const DayPlan plan = plan_days(testing::sample_days()).value();
  const std::string table = calendar_table(plan, kNames);
  EXPECT_EQ(count_of(table, "\n"), plan.calendar.entries.size() + 1);
  for (const std::string& name : plan.load_names) EXPECT_NE(table.find(name), std::string::npos);
}

TEST(Chart, BarsShowEachLoadForItsHours) {
  const DayPlan plan = plan_days(testing::sample_days()).value();
  const std::string bars = calendar_bars(plan, {"p", "q"});
  for (const CalendarEntry& entry : plan.calendar.entries) {
    const char letter = static_cast<char>('A' + entry.load);
    const double hours = static_cast<double>(entry.end_min - entry.swap_min) / 60;
    // Day names have letters too: capitals T, S, F, M, W, O count from headings at most once a day.
    const auto shown = static_cast<double>(std::count(bars.begin(), bars.end(), letter));
    EXPECT_GE(shown, hours - 1.01) << letter;
  }
}

TEST(Chart, SvgHasABarALoadAndItsTextIsEscaped) {
  DaysInput input = testing::sample_days();
  input.choice.deadline = "2026-10-06";
  const DayPlan plan = plan_days(input).value();
  const std::string svg = calendar_svg(plan, kNames);
  EXPECT_EQ(count_of(svg, "<g>"), plan.calendar.entries.size());
  EXPECT_NE(svg.find("right &lt;2&gt;"), std::string::npos);
  EXPECT_NE(svg.find("deadline"), std::string::npos);
  EXPECT_EQ(svg.find("nan"), std::string::npos);
}

TEST(Chart, SentencesTellTheDeadline) {
  DaysInput input = testing::sample_days();
  input.choice.deadline = "2026-10-02 12:00";
  const auto missed = calendar_sentences(plan_days(input).value());
  EXPECT_TRUE(std::any_of(missed.begin(), missed.end(), [](const std::string& s) {
    return s.find("IS MISSED BY") != std::string::npos;
  }));
  EXPECT_TRUE(std::any_of(missed.begin(), missed.end(), [](const std::string& s) {
    return s.find("Planned anew") != std::string::npos;
  }));
  for (const std::string& s : missed) {
    if (s.find("Planned anew") == std::string::npos) continue;
    EXPECT_NE(s.find(", in time.") == std::string::npos, s.find(" too late.") == std::string::npos)
        << s;
  }
  input.choice.deadline = "2026-11-02 12:00";
  const auto kept = calendar_sentences(plan_days(input).value());
  EXPECT_NE(kept.back().find("is kept"), std::string::npos);
}

TEST(Chart, TimeByTheCalendarIsToldInDaysAndHours) {
  DayPlan plan = plan_days(testing::sample_days()).value();
  const std::pair<Minute, const char*> cases[] = {{45, "MISSED BY 45 min,"},
                                                  {24 * 60, "MISSED BY 24 h,"},
                                                  {48 * 60 - 1, "MISSED BY 2 days,"},
                                                  {107 * 60 + 10, "MISSED BY 4 days 11 h,"}};
  for (const auto& [late, wanted] : cases) {
    plan.deadline_min = plan.calendar.done_with_reserve_min - late;
    EXPECT_NE(calendar_sentences(plan).back().find(wanted), std::string::npos)
        << calendar_sentences(plan).back();
  }
  plan.deadline_min = plan.calendar.done_with_reserve_min + 72 * 60;
  EXPECT_NE(calendar_sentences(plan).back().find("with 3 days to spare"), std::string::npos);
}

}  // namespace
}  // namespace seamwright
