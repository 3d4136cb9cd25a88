#pragma once

#include <optional>

#include "seamwright/days/calendar.h"

namespace seamwright::days_detail {

constexpr Minute kNever = std::numeric_limits<Minute>::max() / 4;

/// Loads that stay together: one load, or a spool group in a row.
struct Item {
  std::vector<std::size_t> loads;
  bool is_trial = false;
  double mass_g = 0;
  std::size_t material = 0;
};

/// What a printer is at while a plan grows.
struct PrinterState {
  Minute free_min = 0;
  double spool_left_g = 0;
  std::size_t material = std::numeric_limits<std::size_t>::max();
  friend bool operator==(const PrinterState&, const PrinterState&) = default;
};

/// When a printer can take loads; answers by the rules of plan_calendar,
/// earliest first.
class Timeline {
 public:
  Timeline(std::span<const CalendarLoad> loads, const CalendarPrinter& printer, std::size_t index,
           Minute from_min);

  PrinterState begin() const { return {from_min_, 0, std::numeric_limits<std::size_t>::max()}; }
  /// Appends an item; false when it finds no window. `entries` (or null) gets
  /// what was appended.
  bool append(PrinterState& state, const Item& item,
              std::vector<CalendarEntry>* entries = nullptr) const;
  /// Earliest begin of a swap at or after `from` for a print of this length.
  std::optional<Minute> earliest_swap(Minute from, Minute swap_min, Minute print_min) const;
  /// Home time from `from` to `to`: no more can be printed.
  Minute home_between(Minute from, Minute to) const;

  struct Opening {
    Minute begin = 0, awake_end = 0, home_end = 0;
  };
  std::span<const Opening> openings() const { return openings_; }
  const CalendarPrinter& printer() const { return *printer_; }
  std::optional<Minute> print_min(std::size_t load) const { return loads_[load].print_min[index_]; }

 private:
  std::span<const CalendarLoad> loads_;
  const CalendarPrinter* printer_;
  std::size_t index_;
  Minute from_min_;
  std::vector<Opening> openings_;
  std::vector<Minute> home_before_;  ///< home time before each home span
};

/// A plan as the searches hold it: items in order, one list a printer.
using Sequences = std::vector<std::vector<std::size_t>>;

/// When the last item of each printer ends; kNever where one finds no window.
Minute end_of(const Timeline& timeline, std::span<const Item> items,
              std::span<const std::size_t> sequence);

/// No plan is done before `minute`. Relaxation: every printer may repeat loads
/// as it likes if on the whole each load is paid for (Lagrange multipliers a
/// load, the best way through a printer's hours by dynamic programming over
/// minutes, so only hours in which a swap may happen count). Valid for any
/// multipliers; they are improved by subgradient steps along a curve over the
/// loads' lengths.
struct Bound {
  Minute minute = 0;
  std::vector<double> prices;  ///< the multipliers that gave it, by load
};
struct BoundQuestion {
  Minute from_min = 0, upper_min = 0;  ///< of all plans; some plan ends at `upper_min`
  /// Prices that bound at one moment say little of another one when nobody swaps
  /// between them: a moment to learn them for. 0: the best that is proved so far.
  Minute aim_min = 0;
  int rounds = 1000;
};
Bound lower_bound(std::span<const CalendarLoad> loads, std::span<const Timeline> timelines,
                  std::span<const CalendarPrinter> printers, const BoundQuestion& question);

/// Complete search over sets of items with dominance; nothing when it grew too
/// large or `upper_min` can't be beaten (then `is_complete` is true).
struct ExactAnswer {
  std::optional<Sequences> sequences;
  bool is_complete = false;
};
ExactAnswer search_exactly(std::span<const Item> items, std::span<const Timeline> timelines,
                           Minute upper_min, Minute bound_min);

/// Fills the printers one after the other up to a target, each in the way that
/// earns most at the bound's prices; what is left over goes where it ends
/// soonest. Nothing when something finds no window.
std::optional<Sequences> dive_by_prices(std::span<const CalendarLoad> loads,
                                        std::span<const Item> items,
                                        std::span<const Timeline> timelines,
                                        std::span<const double> prices, Minute target_min);

/// Searches for a plan whose every print ends by the target, from one that may
/// end later. Nothing when none was found in `options.move_count` moves.
std::optional<Sequences> empty_pool(const Sequences& begin, std::span<const Item> items,
                                    std::span<const Timeline> timelines,
                                    std::span<const double> prices, Minute target_min,
                                    const CalendarOptions& options, const Run& run);

/// Longest first, each where it ends soonest; trials before all.
Sequences list_schedule(std::span<const Item> items, std::span<const Timeline> timelines);

/// Annealed moves and swaps from the best of: the given plans, list scheduling,
/// and filling the hours well.
Sequences search_locally(std::span<const Item> items, std::span<const Timeline> timelines,
                         Minute bound_min, std::span<const Sequences> begin,
                         const CalendarOptions& options, const Run& run);

}  // namespace seamwright::days_detail
