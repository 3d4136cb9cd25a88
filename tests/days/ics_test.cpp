#include "seamwright/days/ics.h"

#include <gtest/gtest.h>
#include <libical/ical.h>

#include <map>
#include <memory>

#include "days/sample_days.h"

namespace seamwright {
namespace {

const std::vector<std::string> kNames{"left, by the door", "right"};

std::string text_of(icalcomponent* event, icalproperty_kind kind) {
  icalproperty* property = icalcomponent_get_first_property(event, kind);
  const char* text =
      property == nullptr ? nullptr : icalvalue_get_text(icalproperty_get_value(property));
  return text == nullptr ? "" : text;
}

Minute minute_of_time(const DayPlan& plan, icaltimetype time) {
  EXPECT_EQ(time.is_date, 0);
  EXPECT_EQ(icaltime_is_utc(time), 0);
  const std::chrono::year_month_day date{std::chrono::year(time.year),
                                         std::chrono::month(static_cast<unsigned>(time.month)),
                                         std::chrono::day(static_cast<unsigned>(time.day))};
  return minute_of(plan.first_day, {std::chrono::sys_days(date), time.hour * 60 + time.minute});
}

DayPlan sample_plan() {
  DaysInput input = testing::sample_days();
  input.choice.deadline = "2026-10-20 12:00";
  return plan_days(input).value();
}

// Judge: Debian's libical, an independent reader of RFC 5545.
TEST(Ics, IsReadBackByLibicalWithTheSameEvents) {
  const DayPlan plan = sample_plan();
  const std::string bytes = calendar_ics(plan, kNames, "lantern; beetle, größer");
  const std::unique_ptr<icalcomponent, void (*)(icalcomponent*)> calendar(
      icalparser_parse_string(bytes.c_str()), icalcomponent_free);
  ASSERT_NE(calendar, nullptr);
  EXPECT_EQ(icalcomponent_isa(calendar.get()), ICAL_VCALENDAR_COMPONENT);
  icalcomponent_strip_errors(calendar.get());
  EXPECT_EQ(icalcomponent_count_errors(calendar.get()), 0);
  EXPECT_NE(icalrestriction_check(calendar.get()), 0) << "breaks a rule of RFC 5546";
  std::map<std::string, std::pair<Minute, Minute>> events;
  for (icalcomponent* event =
           icalcomponent_get_first_component(calendar.get(), ICAL_VEVENT_COMPONENT);
       event != nullptr;
       event = icalcomponent_get_next_component(calendar.get(), ICAL_VEVENT_COMPONENT)) {
    EXPECT_FALSE(text_of(event, ICAL_UID_PROPERTY).empty());
    events[text_of(event, ICAL_SUMMARY_PROPERTY)] = {
        minute_of_time(plan, icalcomponent_get_dtstart(event)),
        minute_of_time(plan, icalcomponent_get_dtend(event))};
  }
  ASSERT_EQ(events.size(), plan.calendar.entries.size() + 1);
  for (const CalendarEntry& entry : plan.calendar.entries) {
    const std::string summary = kNames[entry.printer] + ": " + plan.load_names[entry.load];
    ASSERT_TRUE(events.contains(summary)) << summary;
    EXPECT_EQ(events[summary], std::pair(entry.start_min, entry.end_min));
  }
  EXPECT_EQ(events["lantern; beetle, größer: deadline"].first, *plan.deadline_min);
}

TEST(Ics, FoldsLinesAt75OctetsAndEndsThemWithCrLf) {
  const std::string bytes =
      calendar_ics(sample_plan(), kNames, std::string(120, 'x') + "äöüäöüäöü");
  std::size_t begin = 0;
  while (begin < bytes.size()) {
    const std::size_t end = bytes.find("\r\n", begin);
    ASSERT_NE(end, std::string::npos);
    EXPECT_LE(end - begin, 75u);
    const std::string line = bytes.substr(begin, end - begin);
    EXPECT_EQ(line.find('\n'), std::string::npos);
    const std::size_t first = line[0] == ' ' ? 1 : 0;
    EXPECT_NE(static_cast<unsigned char>(line.at(first)) & 0xC0, 0x80) << "torn character";
    begin = end + 2;
  }
}

TEST(Ics, IsTheSameBytesForTheSamePlan) {
  EXPECT_EQ(calendar_ics(sample_plan(), kNames, "t"), calendar_ics(sample_plan(), kNames, "t"));
}

}  // namespace
}  // namespace seamwright
