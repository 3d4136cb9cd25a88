#pragma once

#include <limits>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/days/hours.h"

namespace seamwright {

/// One load of a bed as the calendar sees it.
struct CalendarLoad {
  std::string name;
  std::vector<std::optional<Minute>> print_min;  ///< one a printer; none: it doesn't go there
  double mass_g = 0;
  std::size_t material = 0;                ///< position in a list of the caller's
  std::optional<std::size_t> spool_group;  ///< loads of one group come from one spool, in a row
  bool is_trial = false;                   ///< goes first on its printer
  Minute expected_loss_min = 0;            ///< by failed prints, see failure_loss
  double expected_loss_g = 0;
};

/// One printer: when it may be touched, and when it may run. Spans are merged and rising.
struct CalendarPrinter {
  std::string name;
  std::vector<MinuteSpan> awake;  ///< somebody may swap loads
  std::vector<MinuteSpan> home;   ///< it may run
  Minute swap_min = 15;           ///< clearing the bed and starting the next load
  Minute spool_change_min = 10;   ///< more when the spool is changed as well
  double spool_g = 1000;
};

struct CalendarEntry {
  std::size_t load = 0, printer = 0;
  Minute swap_min = 0, start_min = 0, end_min = 0;  ///< swapping begins, the print starts, it ends
  bool is_new_spool = false;
  friend bool operator==(const CalendarEntry&, const CalendarEntry&) = default;
};

struct Calendar {
  std::vector<CalendarEntry> entries;    ///< by start, then printer
  Minute done_min = 0;                   ///< the last print ends
  Minute bound_min = 0;                  ///< no plan is done before this
  bool is_proved_best = false;           ///< done as early as any plan can be
  Minute reserve_min = 0;                ///< printing time expected to be lost to failures
  double reserve_g = 0;                  ///< filament, likewise
  Minute done_with_reserve_min = 0;      ///< done when each printer repeats its expected losses
  std::vector<std::size_t> spool_count;  ///< spools begun, by material
};

struct CalendarOptions {
  Minute from_min = 0;               ///< nothing begins before
  std::size_t most_exact = 12;       ///< up to so many loads the search is complete
  std::size_t move_count = 400'000;  ///< of the local search
  std::uint64_t seed = 1;
};

/// Puts loads on printers in time, done as early as possible. A load is swapped in while somebody
/// is awake (swaps on several printers may overlap: two hands, short walks) and runs while someone
/// is at home, without a pause. Guarantees: no printer runs two loads at once; every swap lies in
/// an awake span, every print in a home span; a spool group is printed in a row on one printer,
/// from one spool; trial loads come first on their printer; `bound_min` holds for every plan; up to
/// `most_exact` loads the answer is the best unless the search was too large (`is_proved_best`
/// tells). Errors: "no-window" for a load that no span is long enough for (names the longest),
/// "group-over-spool", "cancelled". Sources: Graham, SIAM J. Appl. Math. 17 (1969) for the list
/// scheduling it starts from (bound seen). Cost: 200 loads on 8 printers under 2 s.
Result<Calendar> plan_calendar(std::span<const CalendarLoad> loads,
                               std::span<const CalendarPrinter> printers,
                               const CalendarOptions& options = {}, const Run& run = {});

/// The longest print a printer can run at all: after a swap in an awake span, to the end of home.
Minute longest_print_min(const CalendarPrinter& printer);

/// Expected loss of one load by failures: `first_layer_ratio` fail at once (10 minutes lost, an
/// assumption), the rest at `failure_per_h` while printing; each is begun again until it succeeds.
/// In hours of printing. Source: derived from the exponential law.
double failure_loss_h(double print_h, double first_layer_ratio, double failure_per_h);

}  // namespace seamwright
