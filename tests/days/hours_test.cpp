#include "seamwright/days/hours.h"

#include <gtest/gtest.h>

#include "seamwright/core/random.h"

namespace seamwright {
namespace {

using std::chrono::sys_days;
constexpr Minute kDay = 24 * 60;

Moment at(const char* words) {
  return parse_moment(words).value();
}

TEST(Hours, ReadAMomentAndSayItAgain) {
  // 1 October 2026 is a Thursday (Gregorian calendar; `cal 10 2026`).
  EXPECT_EQ(moment_words(at("2026-10-01 18:05")), "Thu 1 Oct 18:05");
  EXPECT_EQ(moment_words(at("2026-10-01T18:05")), "Thu 1 Oct 18:05");
  EXPECT_EQ(at("2026-10-01").minute, 0);
  EXPECT_EQ(moment_words(at("2024-02-29")), "Thu 29 Feb 00:00");
  const Moment first = at("2026-10-01"), later = at("2026-10-03 01:30");
  EXPECT_EQ(minute_of(first.day, later), 2 * kDay + 90);
  EXPECT_EQ(moment_words(moment_at(first.day, 2 * kDay + 90)), "Sat 3 Oct 01:30");
  EXPECT_EQ(moment_words(moment_at(first.day, -1)), "Wed 30 Sep 23:59");
}

TEST(Hours, RefuseWhatIsNoMoment) {
  for (const char* words : {"", "tomorrow", "2026-13-01", "2026-02-30", "2026-10-01 25:00",
                            "2026-10-01 18:60", "2026-10-01x18:00", "2026-1-1"})
    EXPECT_FALSE(parse_moment(words).has_value()) << words;
}

TEST(Hours, ReadTheHoursOfAWeek) {
  const std::vector<std::string> rules{"mon-tue 06:30-07:30", "sun 18:00-07:30"};
  const auto week = parse_week_hours(rules);
  ASSERT_TRUE(week.has_value());
  // Sunday night runs into Monday morning; it touches Monday's hour and becomes one span.
  const std::vector<MinuteSpan> expected{
      {0, 450}, {kDay + 390, kDay + 450}, {6 * kDay + 1080, 7 * kDay}};
  EXPECT_EQ(*week, expected);
}

TEST(Hours, RefuseWhatAreNoHours) {
  for (const char* rule :
       {"", "mon", "mon 6-7", "someday 06:00-07:00", "mon 07:00-07:00", "mon 06:00-25:00"}) {
    const std::vector<std::string> rules{rule};
    EXPECT_FALSE(parse_week_hours(rules).has_value()) << rule;
  }
}

TEST(Hours, LieOnTheirWeekdaysAndNotOnDaysOff) {
  const std::vector<std::string> rules{"thu-fri 10:00-12:00"};
  const auto week = parse_week_hours(rules).value();
  const sys_days thursday = at("2026-10-01").day;
  const std::vector<sys_days> off{thursday + std::chrono::days(1)};
  const auto spans = lay_week(week, thursday, 9, off);
  const std::vector<MinuteSpan> expected{
      {600, 720}, {7 * kDay + 600, 7 * kDay + 720}, {8 * kDay + 600, 8 * kDay + 720}};
  EXPECT_EQ(spans, expected);
}

TEST(Hours, SetOperationsAgreeWithCountingMinutes) {
  Random random(5);
  for (int round = 0; round < 50; ++round) {
    const auto spans = [&] {
      std::vector<MinuteSpan> list;
      for (int i = 0; i < 5; ++i) {
        const Minute begin = static_cast<Minute>(random.below(200));
        list.push_back({begin, begin + static_cast<Minute>(random.below(30))});
      }
      return merged(list);
    };
    const auto a = spans(), b = spans(), both = common_spans(a, b), less = spans_without(a, b);
    const auto holds = [](const std::vector<MinuteSpan>& list, Minute m) {
      return std::any_of(list.begin(), list.end(),
                         [&](const MinuteSpan& s) { return s.begin <= m && m < s.end; });
    };
    for (Minute m = 0; m < 240; ++m) {
      EXPECT_EQ(holds(both, m), holds(a, m) && holds(b, m));
      EXPECT_EQ(holds(less, m), holds(a, m) && !holds(b, m));
    }
  }
}

}  // namespace
}  // namespace seamwright
