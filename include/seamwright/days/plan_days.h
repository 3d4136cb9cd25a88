#pragma once

#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/days/calendar.h"
#include "seamwright/days/loads.h"

namespace seamwright {

/// A printer of the workshop.
struct DaysPrinter {
  LoadPrinter load;                      ///< its `longest_s` is found from the hours
  std::vector<std::string> awake, home;  ///< empty: as in `[days]`
  double spool_g = 1000;
  /// What the times and masses have in them of the printer's record already.
  double time_factor_ratio = 1, mass_factor_ratio = 1;
};

/// All that the days are planned from.
struct DaysInput {
  std::vector<DayPiece> pieces;
  std::vector<DaysPrinter> printers;
  DaysChoice choice;
  double first_layer_failure_ratio = 0.03, failure_per_h = 0.004;
  std::size_t material_count = 1;
  double band_ratio = 0.15;  ///< nine prints of ten take no longer than this much over their time
  /// The pieces' print times with thicker layers, in the shape of DayPiece::print_s; empty: not
  /// tried when the deadline is missed.
  std::vector<std::vector<std::optional<double>>> thick_print_s;
  double thick_layer_mm = 0;
};

/// One change, planned anew from the start.
struct Help {
  std::string what;
  Minute done_min = 0;  ///< with reserve
};

struct DayPlan {
  std::chrono::sys_days first_day{};  ///< whose midnight is minute 0
  bool has_date = false;              ///< else `first_day` is some Monday
  Minute from_min = 0;
  std::vector<Load> loads;
  Calendar calendar;
  std::vector<std::string> load_names;  ///< "load 1: A1, A2"
  std::vector<MinuteSpan> asleep;
  std::size_t night_count = 0;        ///< prints that run while somebody sleeps
  std::size_t empty_house_count = 0;  ///< prints that run with nobody at home
  std::optional<Minute> deadline_min;
  std::optional<Minute>
      slow_done_min;  ///< when every print takes `band_ratio` longer, with reserve
  double band_ratio = 0;
  std::vector<Help> helps;  ///< when the deadline is missed or there is none, best first
  std::vector<std::string> late_pieces;  ///< marks of what ends after the deadline
  Minute late_min() const {
    return deadline_min ? std::max<Minute>(0, calendar.done_with_reserve_min - *deadline_min) : 0;
  }
};

/// What can't be true of a maker's dates and hours.
struct DaysFault {
  std::string key;                   ///< of `[days]`: "start", "awake", …
  std::optional<std::size_t> index;  ///< which text of a list, where the key holds one
  Error error;
};
/// The first text that is no date or no hours, else a deadline without a start or not after it.
/// Needs no piece: judged before anything long is done.
std::optional<DaysFault> find_days_fault(const DaysChoice& choice);

/// Pieces to loads to a calendar. Errors: what find_days_fault() finds, with its key; those of
/// printers' own hours, loads and calendar. When the deadline is missed, reserve counted, every
/// change that could help is planned anew: one more of each kind of printer, nights, other loads,
/// thicker layers, fewer pieces (without those that end late); never the empty house, a fire risk.
/// Without a deadline, of a plan of a week or longer: one more of each kind of printer, if it saves
/// a day.
Result<DayPlan> plan_days(const DaysInput& input, const Run& run = {});

/// "Thu 1 Oct 18:00", or "day 2, Tue 18:00" without a date.
std::string minute_words(const DayPlan& plan, Minute minute);
/// Days that the plan touches, reserve counted, the first counted as one.
int day_count(const DayPlan& plan);

}  // namespace seamwright
