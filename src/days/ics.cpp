#include "seamwright/days/ics.h"

#include <fmt/format.h>

namespace seamwright {
namespace {

/// RFC 5545 3.3.11.
std::string escaped_text(const std::string& plain) {
  std::string out;
  for (const char c : plain) {
    if (c == '\\' || c == ';' || c == ',') out += '\\';
    if (c == '\n')
      out += "\\n";
    else if (static_cast<unsigned char>(c) >= 0x20)
      out += c;
  }
  return out;
}

/// RFC 5545 3.1: at most 75 octets a line; a folded line goes on after CRLF and a space. Never
/// within a UTF-8 character.
std::string folded(const std::string& line) {
  std::string out;
  std::size_t width = 0;
  for (std::size_t i = 0; i < line.size();) {
    std::size_t octets = 1;
    while (i + octets < line.size() &&
           (static_cast<unsigned char>(line[i + octets]) & 0xC0) == 0x80)
      ++octets;
    if (width + octets > 75) {
      out += "\r\n ";
      width = 1;
    }
    out += line.substr(i, octets);
    width += octets;
    i += octets;
  }
  return out + "\r\n";
}

std::string stamp(const DayPlan& plan, Minute minute) {
  const Moment moment = moment_at(plan.first_day, minute);
  const std::chrono::year_month_day date(moment.day);
  return fmt::format("{:04}{:02}{:02}T{:02}{:02}00", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                     moment.minute / 60, moment.minute % 60);
}

struct Event {
  std::string uid, summary, description;
  Minute begin = 0, end = 0;
};

std::string event_lines(const DayPlan& plan, const Event& event) {
  return folded("BEGIN:VEVENT") + folded("UID:" + escaped_text(event.uid)) +
         folded("DTSTAMP:" + stamp(plan, 0) + "Z") + folded("DTSTART:" + stamp(plan, event.begin)) +
         folded("DTEND:" + stamp(plan, event.end)) +
         folded("SUMMARY:" + escaped_text(event.summary)) +
         folded("DESCRIPTION:" + escaped_text(event.description)) + folded("END:VEVENT");
}

std::string print_words(const DayPlan& plan, const CalendarEntry& entry) {
  const Load& load = plan.loads[entry.load];
  return fmt::format("Swap from {}{}. {:.0f} g.", minute_words(plan, entry.swap_min),
                     entry.is_new_spool ? ", put a full spool on" : "", load.mass_g);
}

}  // namespace

std::string calendar_ics(const DayPlan& plan, const std::vector<std::string>& printer_names,
                         const std::string& title) {
  require(plan.has_date, "a calendar file needs a date");
  std::string out = folded("BEGIN:VCALENDAR") + folded("VERSION:2.0") +
                    folded("PRODID:-//seamwright//days//EN") +
                    folded("X-WR-CALNAME:" + escaped_text(title));
  for (const CalendarEntry& entry : plan.calendar.entries) {
    out += event_lines(plan, {fmt::format("{}-load{}-printer{}@seamwright", title, entry.load + 1,
                                          entry.printer + 1),
                              printer_names.at(entry.printer) + ": " + plan.load_names[entry.load],
                              print_words(plan, entry), entry.start_min, entry.end_min});
  }
  if (plan.deadline_min) {
    out += event_lines(plan, {title + "-deadline@seamwright", title + ": deadline",
                              "All printed by now.", *plan.deadline_min, *plan.deadline_min + 1});
  }
  return out + folded("END:VCALENDAR");
}

}  // namespace seamwright
