#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "seamwright/core/random.h"
#include "seamwright/days/calendar.h"

namespace seamwright::testing {

inline constexpr Minute kHour = 60, kDay = 24 * kHour;

inline CalendarLoad load_of(Minute print_min, std::size_t printers,
                            const std::string& name = "load") {
  CalendarLoad load;
  load.name = name;
  load.print_min.assign(printers, print_min);
  return load;
}

/// Weekdays 6:30–7:30 and 18–23, weekends 9–23; home at night and weekends (the program's default).
inline CalendarPrinter maker_hours(int days = 120) {
  const std::vector<std::string> awake{"mon-fri 06:30-07:30", "mon-fri 18:00-23:00",
                                       "sat-sun 09:00-23:00"};
  const std::vector<std::string> home{"mon-fri 00:00-07:30", "mon-fri 18:00-24:00",
                                      "sat-sun 00:00-24:00"};
  const auto monday = parse_moment("2026-10-05").value().day;
  CalendarPrinter printer{.name = "evenings"};
  printer.awake = lay_week(parse_week_hours(awake).value(), monday, days, {});
  printer.home = lay_week(parse_week_hours(home).value(), monday, days, {});
  return printer;
}

/// One to twelve hours each, on any of eight printers.
inline std::vector<CalendarLoad> two_hundred_loads(std::uint64_t seed) {
  Random random(seed);
  std::vector<CalendarLoad> loads;
  for (int i = 0; i < 200; ++i)
    loads.push_back(load_of(kHour + static_cast<Minute>(random.below(11 * kHour)), 8));
  return loads;
}

}  // namespace seamwright::testing
