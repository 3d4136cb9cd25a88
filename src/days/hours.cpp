#include "seamwright/days/hours.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <optional>

namespace seamwright {
namespace {

constexpr Minute kDay = 24 * 60, kWeek = 7 * kDay;
constexpr std::array<std::string_view, 7> kDayNames{"mon", "tue", "wed", "thu",
                                                    "fri", "sat", "sun"};

/// Monday is 0.
int weekday_of(std::chrono::sys_days day) {
  return static_cast<int>(std::chrono::weekday(day).iso_encoding()) - 1;
}

std::optional<int> number_in(std::string_view digits, int low, int high) {
  if (digits.empty() || digits.size() > 4) return std::nullopt;
  int value = 0;
  for (const char c : digits) {
    if (c < '0' || c > '9') return std::nullopt;
    value = 10 * value + (c - '0');
  }
  return value < low || value > high ? std::nullopt : std::optional(value);
}

/// "18:00" up to "24:00".
std::optional<int> clock_minutes(std::string_view words) {
  const std::size_t colon = words.find(':');
  if (colon == std::string_view::npos) return std::nullopt;
  const auto hour = number_in(words.substr(0, colon), 0, 24);
  const auto minute = number_in(words.substr(colon + 1), 0, 59);
  if (!hour || !minute || *hour * 60 + *minute > kDay) return std::nullopt;
  return *hour * 60 + *minute;
}

std::optional<int> day_named(std::string_view word) {
  for (std::size_t i = 0; i < kDayNames.size(); ++i) {
    if (kDayNames[i] == word) return static_cast<int>(i);
  }
  return std::nullopt;
}

/// Two halves of "a-b"; both the same without a dash.
std::pair<std::string_view, std::string_view> halves(std::string_view words) {
  const std::size_t dash = words.find('-');
  if (dash == std::string_view::npos) return {words, words};
  return {words.substr(0, dash), words.substr(dash + 1)};
}

std::optional<std::vector<MinuteSpan>> rule_spans(std::string_view rule) {
  const std::size_t space = rule.find(' ');
  if (space == std::string_view::npos) return std::nullopt;
  const auto [first_word, last_word] = halves(rule.substr(0, space));
  const auto [from_word, to_word] = halves(rule.substr(space + 1));
  const auto first = day_named(first_word), last = day_named(last_word);
  const auto from = clock_minutes(from_word), to = clock_minutes(to_word);
  if (!first || !last || !from || !to || *from == *to) return std::nullopt;
  std::vector<MinuteSpan> spans;
  const int count = (*last - *first + 7) % 7 + 1;
  for (int i = 0; i < count; ++i) {
    const Minute begin = (*first + i) % 7 * kDay + *from;
    const Minute end = begin + (*to > *from ? *to - *from : kDay - *from + *to);
    spans.push_back({begin, std::min(end, kWeek)});
    if (end > kWeek) spans.push_back({0, end - kWeek});
  }
  return spans;
}

}  // namespace

Result<Moment> parse_moment(std::string_view words) {
  const Error bad{"bad-moment",
                  fmt::format("\"{}\": write a date, as 2026-10-01 or 2026-10-01 18:00", words)};
  if (words.size() < 10 || words[4] != '-' || words[7] != '-') return bad;
  const auto year = number_in(words.substr(0, 4), 1970, 9999);
  const auto month = number_in(words.substr(5, 2), 1, 12);
  const auto day = number_in(words.substr(8, 2), 1, 31);
  if (!year || !month || !day) return bad;
  const std::chrono::year_month_day date{std::chrono::year(*year),
                                         std::chrono::month(static_cast<unsigned>(*month)),
                                         std::chrono::day(static_cast<unsigned>(*day))};
  if (!date.ok()) return Error{"bad-moment", fmt::format("\"{}\": there is no such day", words)};
  Moment moment{std::chrono::sys_days(date), 0};
  if (words.size() == 10) return moment;
  const auto clock = clock_minutes(words.substr(11));
  if ((words[10] != ' ' && words[10] != 'T') || !clock) return bad;
  moment.minute = *clock;
  return moment;
}

std::string moment_words(const Moment& moment) {
  static constexpr std::array<std::string_view, 7> kShown{"Mon", "Tue", "Wed", "Thu",
                                                          "Fri", "Sat", "Sun"};
  static constexpr std::array<std::string_view, 12> kMonths{
      "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  const std::chrono::year_month_day date(moment.day);
  return fmt::format(
      "{} {} {} {:02}:{:02}", kShown[static_cast<std::size_t>(weekday_of(moment.day))],
      static_cast<unsigned>(date.day()), kMonths[static_cast<unsigned>(date.month()) - 1],
      moment.minute / 60, moment.minute % 60);
}

Moment moment_at(std::chrono::sys_days first_day, Minute minute) {
  const Minute days = minute >= 0 ? minute / kDay : -((kDay - 1 - minute) / kDay);
  return {first_day + std::chrono::days(days), static_cast<int>(minute - days * kDay)};
}

Minute minute_of(std::chrono::sys_days first_day, const Moment& moment) {
  return (moment.day - first_day).count() * kDay + moment.minute;
}

Result<std::vector<MinuteSpan>> parse_week_hours(std::span<const std::string> rules) {
  std::vector<MinuteSpan> week;
  for (const std::string& rule : rules) {
    const auto spans = rule_spans(rule);
    if (!spans) {
      return Error{"bad-hours",
                   fmt::format("\"{}\": write days and hours, as \"mon-fri 18:00-23:00\" or \"sat "
                               "09:00-24:00\"",
                               rule)};
    }
    week.insert(week.end(), spans->begin(), spans->end());
  }
  return merged(std::move(week));
}

std::vector<MinuteSpan> lay_week(std::span<const MinuteSpan> week, std::chrono::sys_days first_day,
                                 int day_count, std::span<const std::chrono::sys_days> days_off) {
  const Minute end = day_count * kDay;
  std::vector<MinuteSpan> spans;
  for (Minute monday = -weekday_of(first_day) * kDay; monday < end; monday += kWeek) {
    for (const MinuteSpan& span : week) {
      const MinuteSpan laid{std::max<Minute>(0, monday + span.begin),
                            std::min(end, monday + span.end)};
      if (laid.begin < laid.end) spans.push_back(laid);
    }
  }
  std::vector<MinuteSpan> off;
  for (const std::chrono::sys_days day : days_off) {
    const Minute begin = (day - first_day).count() * kDay;
    off.push_back({begin, begin + kDay});
  }
  return spans_without(merged(std::move(spans)), merged(std::move(off)));
}

std::vector<MinuteSpan> merged(std::vector<MinuteSpan> spans) {
  std::sort(spans.begin(), spans.end(),
            [](const MinuteSpan& a, const MinuteSpan& b) { return a.begin < b.begin; });
  std::vector<MinuteSpan> out;
  for (const MinuteSpan& span : spans) {
    if (span.begin >= span.end) continue;
    if (!out.empty() && span.begin <= out.back().end)
      out.back().end = std::max(out.back().end, span.end);
    else
      out.push_back(span);
  }
  return out;
}

std::vector<MinuteSpan> common_spans(std::span<const MinuteSpan> a, std::span<const MinuteSpan> b) {
  std::vector<MinuteSpan> out;
  for (std::size_t i = 0, k = 0; i < a.size() && k < b.size();) {
    const MinuteSpan both{std::max(a[i].begin, b[k].begin), std::min(a[i].end, b[k].end)};
    if (both.begin < both.end) out.push_back(both);
    (a[i].end < b[k].end ? i : k) += 1;
  }
  return out;
}

std::vector<MinuteSpan> spans_without(std::span<const MinuteSpan> a,
                                      std::span<const MinuteSpan> b) {
  std::vector<MinuteSpan> out;
  for (MinuteSpan span : a) {
    for (const MinuteSpan& hole : b) {
      if (hole.end <= span.begin || hole.begin >= span.end) continue;
      if (hole.begin > span.begin) out.push_back({span.begin, hole.begin});
      span.begin = hole.end;
      if (span.begin >= span.end) break;
    }
    if (span.begin < span.end) out.push_back(span);
  }
  return out;
}

}  // namespace seamwright
