#pragma once

#include <array>
#include <string>
#include <utility>
#include <vector>

#include "seamwright/core/describe.h"

namespace seamwright {

/// How many pieces share a bed: fewer swaps against more lost in one failed print.
enum class PerLoad : std::uint8_t { one, few, many };

constexpr std::array<std::pair<std::string_view, PerLoad>, 3> names(PerLoad) {
  return {{{"one", PerLoad::one}, {"few", PerLoad::few}, {"many", PerLoad::many}}};
}

/// `[days]` in the job file: when printers may be touched and run, and by when all must be done.
struct DaysChoice {
  std::string start;     ///< "" : the calendar counts days from a Monday morning
  std::string deadline;  ///< needs `start`
  std::vector<std::string> awake{"mon-fri 06:30-07:30", "mon-fri 18:00-23:00",
                                 "sat-sun 09:00-23:00"};
  std::vector<std::string> home{"mon-fri 00:00-07:30", "mon-fri 18:00-24:00",
                                "sat-sun 00:00-24:00"};
  std::vector<std::string> asleep{"mon-sun 23:00-06:30"};
  std::vector<std::string> days_off;
  bool has_nights = true;
  bool has_empty_house = false;
  PerLoad per_load = PerLoad::few;
  double clearance_mm = 4;
  double few_h = 12;  ///< a load of `few` pieces prints no longer
  double swap_min = 15;
  double spool_change_min = 10;
  bool has_trial_first = true;
  std::vector<std::string> same_spool;  ///< marks in groups: "A1 A2 B1"
};

template <class Settings, class Visitor>
requires same_settings<Settings, DaysChoice>
void describe(Settings& days, Visitor&& visit) {
  constexpr std::string_view kAssumed = "assumption", kYours = "yours";
  visit(days.start, FieldDoc{"start",
                             "first moment, as \"2026-10-01 18:00\"; empty: day 1 is a "
                             "Monday, and `seamwright days` takes now",
                             kYours});
  visit(days.deadline,
        FieldDoc{"deadline", "all printed by then; a date alone is its first minute; needs start",
                 kYours});
  visit(days.awake,
        FieldDoc{"awake", "hours when loads can be swapped, as \"mon-fri 18:00-23:00\"", kAssumed});
  visit(days.home,
        FieldDoc{"home", "hours when somebody is at home and printers may run", kAssumed});
  visit(days.asleep,
        FieldDoc{"asleep", "hours of sleep: printing then is a risk you take", kAssumed});
  visit(days.days_off,
        FieldDoc{"days_off", "dates when nobody is there, as \"2026-10-11\"", kYours});
  visit(days.has_nights,
        FieldDoc{"has_nights", "printers run while you sleep; see the cautions", kAssumed});
  visit(
      days.has_empty_house,
      FieldDoc{"has_empty_house", "printers run with nobody at home; see the cautions", kAssumed});
  visit(
      days.per_load,
      FieldDoc{"per_load",
               "pieces that share a bed: one, few (at most 3, straps and lids not counted) or many",
               kAssumed});
  visit(days.clearance_mm,
        FieldDoc{"clearance_mm", "between pieces of one load", kAssumed, 0, 100});
  visit(days.few_h, FieldDoc{"few_h", "a load of few pieces prints no longer", kAssumed, 0.5, 200});
  visit(days.swap_min,
        FieldDoc{"swap_min", "minutes to clear a bed and start the next load", kAssumed, 0, 240});
  visit(days.spool_change_min,
        FieldDoc{"spool_change_min", "minutes more to change the spool", kAssumed, 0, 240});
  visit(days.has_trial_first,
        FieldDoc{"has_trial_first", "the two pieces joined first are printed first", kAssumed});
  visit(days.same_spool,
        FieldDoc{"same_spool", "unpainted neighbours from one spool, as [\"A1 A2\", \"B1 B2\"]",
                 kYours});
}

}  // namespace seamwright
