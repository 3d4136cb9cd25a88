#pragma once

#include <chrono>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "seamwright/core/result.h"

namespace seamwright {

/// Whole minutes of local time since a calendar's first midnight. Local time without a zone: a
/// maker's clock; a change to summer time shifts what runs across it by an hour.
using Minute = std::int64_t;

/// [begin, end) in minutes.
struct MinuteSpan {
  Minute begin = 0, end = 0;
  friend bool operator==(const MinuteSpan&, const MinuteSpan&) = default;
};

/// A moment as a person writes it.
struct Moment {
  std::chrono::sys_days day{};
  int minute = 0;  ///< of the day
};
/// "2026-10-01" (midnight), "2026-10-01 18:00" or "2026-10-01T18:00". Errors: "bad-moment".
Result<Moment> parse_moment(std::string_view words);
/// "Thu 1 Oct 18:00"
std::string moment_words(const Moment& moment);
Moment moment_at(std::chrono::sys_days first_day, Minute minute);
Minute minute_of(std::chrono::sys_days first_day, const Moment& moment);

/// Hours of a week: "mon-fri 06:30-07:30", "sat 09:00-23:00", "sun-thu 18:00-07:30" (into the next
/// day). Whole weeks wrap: "fri-mon". Errors: "bad-hours", naming the words and the shape they
/// need.
Result<std::vector<MinuteSpan>> parse_week_hours(std::span<const std::string> rules);

/// The spans of a week (minutes since Monday 00:00, as parse_week_hours gives them) laid over
/// `day_count` days from `first_day`; merged and rising. Days in `days_off` are cut out.
std::vector<MinuteSpan> lay_week(std::span<const MinuteSpan> week, std::chrono::sys_days first_day,
                                 int day_count, std::span<const std::chrono::sys_days> days_off);

/// Set operations on merged, rising spans; the results are merged and rising. O(n log n).
std::vector<MinuteSpan> merged(std::vector<MinuteSpan> spans);
std::vector<MinuteSpan> common_spans(std::span<const MinuteSpan> a, std::span<const MinuteSpan> b);
std::vector<MinuteSpan> spans_without(std::span<const MinuteSpan> a, std::span<const MinuteSpan> b);

}  // namespace seamwright
