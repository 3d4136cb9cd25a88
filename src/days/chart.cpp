#include "seamwright/days/chart.h"

#include <fmt/format.h>

#include <algorithm>

#include "seamwright/core/time_words.h"

namespace seamwright {
namespace {

constexpr Minute kDay = 24 * 60;

/// A, B, …, Z, a, …, z, and round again.
char letter_of(std::size_t load) {
  const std::size_t i = load % 52;
  return static_cast<char>(i < 26 ? 'A' + i : 'a' + (i - 26));
}

Minute first_midnight(const DayPlan& plan) {
  return plan.from_min / kDay * kDay;
}
Minute last_midnight(const DayPlan& plan) {
  Minute last = std::max(plan.calendar.done_with_reserve_min, plan.from_min + 1);
  // A deadline far off would leave the bars no room.
  if (plan.deadline_min && *plan.deadline_min - plan.from_min <= 2 * (last - plan.from_min))
    last = std::max(last, *plan.deadline_min + 1);
  return (last + kDay - 1) / kDay * kDay;
}

/// What runs for most of a column.
char column_of(const DayPlan& plan, std::size_t printer, Minute begin, Minute end) {
  char shown = '.';
  Minute most = 0;
  for (const CalendarEntry& entry : plan.calendar.entries) {
    if (entry.printer != printer) continue;
    const Minute common = std::min(end, entry.end_min) - std::max(begin, entry.swap_min);
    if (common > most && 2 * common >= end - begin) {
      most = common;
      shown = letter_of(entry.load);
    }
  }
  return shown;
}

std::string xml_text(const std::string& plain) {
  std::string out;
  for (const char c : plain) {
    if (c == '&')
      out += "&amp;";
    else if (c == '<')
      out += "&lt;";
    else if (c == '>')
      out += "&gt;";
    else if (c == '"')
      out += "&quot;";
    else if (static_cast<unsigned char>(c) >= 0x20)
      out += c;
  }
  return out;
}

struct Frame {
  double left = 118, top = 26, row = 46, width = 1000;
  Minute begin = 0, end = 0;
  double x(Minute minute) const {
    const Minute inside = std::clamp(minute, begin, end);
    return left + width * static_cast<double>(inside - begin) / static_cast<double>(end - begin);
  }
};

std::string rectangle(double x, double y, double width, double height, const std::string& rest) {
  return fmt::format("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" {}/>\n", x,
                     y, width, height, rest);
}

std::string day_rules(const DayPlan& plan, const Frame& frame, double bottom) {
  std::string svg;
  for (const MinuteSpan& night : plan.asleep) {
    if (night.end <= frame.begin || night.begin >= frame.end) continue;
    svg += rectangle(frame.x(night.begin), frame.top, frame.x(night.end) - frame.x(night.begin),
                     bottom - frame.top, "fill=\"#e9e4ee\"");
  }
  const Minute days = (frame.end - frame.begin) / kDay;
  const Minute step = std::max<Minute>(1, (days + 11) / 12);
  for (Minute day = 0; day <= days; ++day) {
    const Minute minute = frame.begin + day * kDay;
    svg += fmt::format(
        "<line x1=\"{0:.1f}\" y1=\"{1}\" x2=\"{0:.1f}\" y2=\"{2}\" stroke=\"#cfc6bb\"/>\n",
        frame.x(minute), frame.top, bottom);
    if (day == days || day % step != 0) continue;
    const std::string words = minute_words(plan, minute);
    const std::string shown = plan.has_date ? words.substr(0, words.size() - 6)
                                            : fmt::format("day {}", minute / kDay + 1);
    svg += fmt::format("<text x=\"{:.1f}\" y=\"17\" font-size=\"12\" fill=\"#6f6774\">{}</text>\n",
                       frame.x(minute) + 3, shown);
  }
  return svg;
}

std::string entry_bar(const DayPlan& plan, const Frame& frame, const CalendarEntry& entry) {
  static constexpr std::string_view kColours[] = {"#8d6a9f", "#b88a2e", "#5f8a8b",
                                                  "#a65d57", "#6b7f4a", "#7a6f63"};
  const double y = frame.top + 8 + frame.row * static_cast<double>(entry.printer);
  const double begin = frame.x(entry.start_min),
               width = std::max(2.0, frame.x(entry.end_min) - begin);
  const std::string title =
      fmt::format("{}, {} to {}", plan.load_names[entry.load], minute_words(plan, entry.start_min),
                  minute_words(plan, entry.end_min));
  std::string svg = fmt::format("<g><title>{}</title>", xml_text(title));
  svg += rectangle(frame.x(entry.swap_min), y, begin - frame.x(entry.swap_min), 28,
                   "fill=\"#2b2530\"");
  svg += rectangle(begin, y, width, 28,
                   fmt::format("rx=\"3\" fill=\"{}\"", kColours[entry.load % std::size(kColours)]));
  const std::string number = std::to_string(entry.load + 1);
  if (width > 8.0 * static_cast<double>(number.size()) + 4) {
    svg += fmt::format(
        "<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"13\" fill=\"#fff\" "
        "text-anchor=\"middle\">{}</text>",
        begin + width / 2, y + 19, number);
  }
  return svg + "</g>\n";
}

std::string deadline_line(const DayPlan& plan, const Frame& frame, double bottom) {
  if (!plan.deadline_min || *plan.deadline_min > frame.end) return "";
  const double x = frame.x(*plan.deadline_min);
  return fmt::format(
      "<line x1=\"{0:.1f}\" y1=\"{1}\" x2=\"{0:.1f}\" y2=\"{2}\" stroke=\"#b4622d\" "
      "stroke-width=\"3\"/><text x=\"{3:.1f}\" y=\"{4:.1f}\" font-size=\"12\" "
      "fill=\"#b4622d\" text-anchor=\"end\">deadline</text>\n",
      x, frame.top, bottom, x - 4, bottom + 14);
}

/// Time by the calendar: hours up to two days, then "4 days 11 h".
std::string span_words(Minute minutes) {
  const auto hours = static_cast<long>((minutes + 30) / 60);
  if (hours < 48) return rough_duration(60.0 * static_cast<double>(minutes));
  return fmt::format("{} days{}", hours / 24,
                     hours % 24 == 0 ? "" : fmt::format(" {} h", hours % 24));
}

}  // namespace

std::string calendar_table(const DayPlan& plan, const std::vector<std::string>& printer_names) {
  std::size_t name_width = 7;
  for (const std::string& name : printer_names) name_width = std::max(name_width, name.size());
  std::string out = fmt::format("     {:<{}}  {:<18}{:<18}{:>10}{:>8}  {}\n", "printer", name_width,
                                "swap from", "done", "prints", "grams", "load");
  for (const CalendarEntry& entry : plan.calendar.entries) {
    const Load& load = plan.loads[entry.load];
    out += fmt::format("  {}  {:<{}}  {:<18}{:<18}{:>10}{:>8.0f}  {}{}\n", letter_of(entry.load),
                       printer_names.at(entry.printer), name_width,
                       minute_words(plan, entry.swap_min), minute_words(plan, entry.end_min),
                       clock_hours(60.0 * static_cast<double>(entry.end_min - entry.start_min)),
                       load.mass_g, plan.load_names[entry.load],
                       entry.is_new_spool ? " (new spool)" : "");
  }
  return out;
}

std::string calendar_bars(const DayPlan& plan, const std::vector<std::string>& printer_names,
                          int width) {
  std::size_t name_width = 0;
  for (const std::string& name : printer_names) name_width = std::max(name_width, name.size());
  const Minute begin = first_midnight(plan), end = last_midnight(plan);
  const int room = std::max(24, width - static_cast<int>(name_width) - 4);
  const int days_a_line = std::max(1, room / 25);  // a column an hour, a gap between days
  std::string out;
  for (Minute line = begin; line < end; line += days_a_line * kDay) {
    const Minute line_end = std::min(end, line + days_a_line * kDay);
    out += fmt::format("  {:<{}}  ", "", name_width);
    for (Minute day = line; day < line_end; day += kDay) {
      const std::string words = minute_words(plan, day);
      out += fmt::format("{:<25}", words.substr(0, words.size() - 6));
    }
    out += '\n';
    for (std::size_t p = 0; p < printer_names.size(); ++p) {
      out += fmt::format("  {:<{}}  ", printer_names[p], name_width);
      for (Minute hour = line; hour < line_end; hour += 60) {
        out += column_of(plan, p, hour, hour + 60);
        if ((hour + 60) % kDay == 0) out += ' ';
      }
      out += '\n';
    }
  }
  return out;
}

std::string calendar_svg(const DayPlan& plan, const std::vector<std::string>& printer_names) {
  Frame frame;
  frame.begin = first_midnight(plan);
  frame.end = last_midnight(plan);
  const double bottom = frame.top + frame.row * static_cast<double>(printer_names.size());
  std::string svg = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 1130 {:.0f}\" role=\"img\" "
      "font-family=\"Gill Sans, Optima, Noto Sans, sans-serif\"><title>When each load "
      "prints</title>\n",
      bottom + 22);
  svg += day_rules(plan, frame, bottom);
  for (std::size_t i = 0; i < printer_names.size(); ++i) {
    svg += fmt::format("<text x=\"0\" y=\"{:.1f}\" font-size=\"14\" fill=\"#2b2530\">{}</text>\n",
                       frame.top + 27 + frame.row * static_cast<double>(i),
                       xml_text(printer_names[i]));
  }
  for (const CalendarEntry& entry : plan.calendar.entries) svg += entry_bar(plan, frame, entry);
  return svg + deadline_line(plan, frame, bottom) + "</svg>\n";
}

std::string_view unattended_caution() {
  return "A printer that runs while you sleep or are out is a fire risk: keep a smoke alarm in the "
         "room and nothing near it that burns, its wiring and firmware checked, and don't leave it "
         "alone in an empty house. Your insurer and local rules may forbid it.";
}

std::vector<std::string> calendar_sentences(const DayPlan& plan) {
  const Calendar& calendar = plan.calendar;
  const auto minutes = [](Minute m) { return rough_duration(60.0 * static_cast<double>(m)); };
  std::vector<std::string> said;
  const int days = day_count(plan);
  said.push_back(fmt::format(
      "{} load{} in {} day{}: the last print ends {}; with {} and {:.0f} g kept in reserve for "
      "prints that fail, {}.",
      plan.loads.size(), plan.loads.size() == 1 ? "" : "s", days, days == 1 ? "" : "s",
      minute_words(plan, calendar.done_min), minutes(calendar.reserve_min), calendar.reserve_g,
      minute_words(plan, calendar.done_with_reserve_min)));
  said.push_back(calendar.is_proved_best
                     ? "No plan with these loads and hours ends earlier."
                     : fmt::format("No plan with these loads and hours ends before {}.",
                                   minute_words(plan, calendar.bound_min)));
  if (plan.slow_done_min) {
    said.push_back(fmt::format(
        "If every print takes {:.0f} % longer, the error band of the estimate, it is {}.",
        100 * plan.band_ratio, minute_words(plan, *plan.slow_done_min)));
  }
  const auto run = [](std::size_t count) {
    return fmt::format("{} of the prints run{}", count, count == 1 ? "s" : "");
  };
  if (plan.night_count > 0)
    said.push_back(run(plan.night_count) + " while you sleep: see the caution.");
  if (plan.empty_house_count > 0)
    said.push_back(run(plan.empty_house_count) + " with nobody at home: see the caution.");
  if (!plan.deadline_min) {
    for (const Help& help : plan.helps)
      said.push_back(fmt::format("Planned anew: {}: done {}, {} sooner.", help.what,
                                 minute_words(plan, help.done_min),
                                 span_words(calendar.done_with_reserve_min - help.done_min)));
    return said;
  }
  if (plan.late_min() == 0) {
    said.push_back(fmt::format("The deadline, {}, is kept with {} to spare.",
                               minute_words(plan, *plan.deadline_min),
                               span_words(*plan.deadline_min - calendar.done_with_reserve_min)));
    return said;
  }
  said.push_back(fmt::format("THE DEADLINE, {}, IS MISSED BY {}, reserve counted.",
                             minute_words(plan, *plan.deadline_min), span_words(plan.late_min())));
  for (const Help& help : plan.helps) {
    const Minute late_min = help.done_min - *plan.deadline_min;
    said.push_back(
        fmt::format("Planned anew: {}: done {}, {}.", help.what, minute_words(plan, help.done_min),
                    late_min <= 0 ? "in time" : "still " + span_words(late_min) + " too late"));
  }
  return said;
}

}  // namespace seamwright
