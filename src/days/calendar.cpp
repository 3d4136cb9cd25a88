#include "seamwright/days/calendar.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "days/timeline.h"

namespace seamwright {
namespace {

using namespace days_detail;

std::vector<Item> items_of(std::span<const CalendarLoad> loads) {
  std::vector<Item> items;
  std::map<std::size_t, std::size_t> by_group;
  for (std::size_t i = 0; i < loads.size(); ++i) {
    const CalendarLoad& load = loads[i];
    std::size_t at = items.size();
    if (load.spool_group) at = by_group.try_emplace(*load.spool_group, at).first->second;
    if (at == items.size()) items.push_back({{}, false, 0, load.material});
    Item& item = items[at];
    item.loads.push_back(i);
    item.is_trial = item.is_trial || load.is_trial;
    item.mass_g += load.mass_g;
  }
  // Within a spool group the trial goes first.
  for (Item& item : items) {
    std::stable_partition(item.loads.begin(), item.loads.end(),
                          [&](std::size_t load) { return loads[load].is_trial; });
  }
  return items;
}

Status check_item(const Item& item, std::span<const CalendarLoad> loads,
                  std::span<const CalendarPrinter> printers, std::span<const Timeline> timelines) {
  if (item.loads.size() > 1) {
    double most_g = 0;
    for (const CalendarPrinter& printer : printers) most_g = std::max(most_g, printer.spool_g);
    if (item.mass_g > most_g) {
      return Error{"group-over-spool",
                   fmt::format("the pieces that must come from one spool (with "
                               "{}) need {:.0f} g, a "
                               "spool holds {:.0f} g; make the group smaller "
                               "or the spool larger",
                               loads[item.loads.front()].name, item.mass_g, most_g)};
    }
  }
  for (const Timeline& timeline : timelines) {
    PrinterState state = timeline.begin();
    if (timeline.append(state, item)) return ok();
  }
  const CalendarLoad& load = loads[item.loads.front()];
  Minute least = kNever, longest = 0;
  for (std::size_t i = 0; i < printers.size(); ++i) {
    if (load.print_min[i]) least = std::min(least, *load.print_min[i]);
    longest = std::max(longest, longest_print_min(printers[i]));
  }
  return Error{"no-window",
               fmt::format("{} prints for {}:{:02} h, and the "
                           "longest stretch a printer may run is "
                           "{}:{:02} h; allow nights or the empty "
                           "house, give other hours, or cut "
                           "smaller pieces",
                           load.name, least / 60, least % 60, longest / 60, longest % 60)};
}

Calendar calendar_of(const Sequences& sequences, std::span<const Item> items,
                     std::span<const Timeline> timelines, std::span<const CalendarLoad> loads) {
  Calendar calendar;
  for (std::size_t i = 0; i < timelines.size(); ++i) {
    PrinterState state = timelines[i].begin();
    for (const std::size_t item : sequences[i])
      require(timelines[i].append(state, items[item], &calendar.entries),
              "a planned item finds its window");
  }
  std::size_t material_count = 0;
  for (const CalendarLoad& load : loads)
    material_count = std::max(material_count, load.material + 1);
  calendar.spool_count.assign(material_count, 0);
  for (const CalendarEntry& entry : calendar.entries) {
    calendar.done_min = std::max(calendar.done_min, entry.end_min);
    if (entry.is_new_spool) ++calendar.spool_count[loads[entry.load].material];
  }
  std::sort(calendar.entries.begin(), calendar.entries.end(), [](const auto& a, const auto& b) {
    return std::pair(a.start_min, a.printer) < std::pair(b.start_min, b.printer);
  });
  return calendar;
}

/// Each printer repeats what it is expected to lose, in prints no longer than
/// its own.
void add_reserve(Calendar& calendar, std::span<const CalendarLoad> loads,
                 std::span<const Timeline> timelines, Minute from_min) {
  calendar.done_with_reserve_min = calendar.done_min;
  for (std::size_t i = 0; i < timelines.size(); ++i) {
    Minute lost = 0, longest = 0, free = from_min;
    for (const CalendarEntry& entry : calendar.entries) {
      if (entry.printer != i) continue;
      lost += loads[entry.load].expected_loss_min;
      calendar.reserve_g += loads[entry.load].expected_loss_g;
      longest = std::max(longest, entry.end_min - entry.start_min);
      free = std::max(free, entry.end_min);
    }
    calendar.reserve_min += lost;
    while (lost > 0) {
      const Minute print = std::min(lost, longest), swap = timelines[i].printer().swap_min;
      const auto begin = timelines[i].earliest_swap(free, swap, print);
      if (!begin) break;
      free = *begin + swap + print;
      lost -= print;
    }
    calendar.done_with_reserve_min = std::max(calendar.done_with_reserve_min, free);
  }
}

Minute latest_end(const Sequences& sequences, std::span<const Item> items,
                  std::span<const Timeline> timelines) {
  Minute latest = 0;
  for (std::size_t i = 0; i < timelines.size(); ++i) {
    if (!sequences[i].empty()) latest = std::max(latest, end_of(timelines[i], items, sequences[i]));
  }
  return latest;
}

/// Plans that end a little after the bound, the first target that is met the
/// last one tried.
std::vector<Sequences> plans_near(const Bound& lower, std::span<const CalendarLoad> loads,
                                  std::span<const Item> items, std::span<const Timeline> timelines,
                                  const CalendarOptions& options, const Run& run) {
  CalendarOptions moves = options;
  moves.move_count = options.move_count / 4;
  std::vector<Sequences> plans;
  for (const double over_ratio : {0.002, 0.01, 0.02, 0.03, 0.05}) {
    const auto span_min = static_cast<double>(lower.minute - options.from_min);
    const Minute target = lower.minute + std::lround(over_ratio * span_min);
    auto dive = dive_by_prices(loads, items, timelines, lower.prices, target);
    if (!dive) continue;
    auto met = empty_pool(*dive, items, timelines, lower.prices, target, moves, run);
    plans.push_back(met ? std::move(*met) : std::move(*dive));
    if (met) break;
  }
  return plans;
}

/// The last moment before `before_min` when nothing that was swapped in at the
/// opening before it can have ended; `from_min` when no opening lies between.
Minute before_last_opening(std::span<const CalendarLoad> loads, std::span<const Timeline> timelines,
                           Minute from_min, Minute before_min) {
  Minute last = from_min;
  for (const Timeline& timeline : timelines) {
    Minute least = kNever;
    for (std::size_t load = 0; load < loads.size(); ++load)
      least = std::min(least, timeline.print_min(load).value_or(kNever));
    for (const Timeline::Opening& opening : timeline.openings()) {
      const Minute ends = opening.begin + timeline.printer().swap_min + least - 1;
      if (opening.begin > from_min && ends < before_min) last = std::max(last, ends);
    }
  }
  return last;
}

/// No plan is done before `lower`; `plans` end a little after it.
struct Start {
  Bound lower;
  std::vector<Sequences> plans;
};

/// Begins with the bound that is easy to learn; then learns one for the time
/// before the last swap that the plans found so far still need, and plans anew by
/// its prices when that proves more.
Start start_near_bound(std::span<const CalendarLoad> loads, std::span<const Item> items,
                       std::span<const CalendarPrinter> printers,
                       std::span<const Timeline> timelines, Minute listed,
                       const CalendarOptions& options, const Run& run) {
  constexpr int kFirstRounds = 100, kAimedRounds = 1400;
  BoundQuestion asked{options.from_min, listed, 0, kFirstRounds};
  const Bound first = lower_bound(loads, timelines, printers, asked);
  Start start{first, plans_near(first, loads, items, timelines, options, run)};
  for (const Sequences& plan : start.plans)
    asked.upper_min = std::min(asked.upper_min, latest_end(plan, items, timelines));
  asked.aim_min = before_last_opening(loads, timelines, options.from_min, asked.upper_min);
  asked.rounds = kAimedRounds;
  Bound aimed = lower_bound(loads, timelines, printers, asked);
  if (aimed.minute <= first.minute) return start;
  start.lower = std::move(aimed);
  for (Sequences& plan : plans_near(start.lower, loads, items, timelines, options, run))
    start.plans.push_back(std::move(plan));
  return start;
}

}  // namespace

Minute longest_print_min(const CalendarPrinter& printer) {
  Minute longest = 0;
  const Timeline timeline({}, printer, 0, 0);
  for (const Timeline::Opening& opening : timeline.openings()) {
    if (opening.begin + printer.swap_min <= opening.awake_end)
      longest = std::max(longest, opening.home_end - opening.begin - printer.swap_min);
  }
  return longest;
}

double failure_loss_h(double print_h, double first_layer_ratio, double failure_per_h) {
  constexpr double kFirstLayerH = 1.0 / 6;
  const double rate = failure_per_h, lives = std::exp(-rate * print_h);
  // ∫₀ʰ t r e^{-rt} dt: hours lost by a print that dies at t.
  const double died_h = rate > 0 ? (1 - lives) / rate - print_h * lives : 0;
  const double lost_h = first_layer_ratio * kFirstLayerH + (1 - first_layer_ratio) * died_h;
  return lost_h / ((1 - first_layer_ratio) * lives);
}

Result<Calendar> plan_calendar(std::span<const CalendarLoad> loads,
                               std::span<const CalendarPrinter> printers,
                               const CalendarOptions& options, const Run& run) {
  require(!printers.empty(), "there is a printer");
  if (run.should_stop()) return Error{"cancelled", "stopped while planning the days"};
  std::vector<Timeline> timelines;
  for (std::size_t i = 0; i < printers.size(); ++i)
    timelines.emplace_back(loads, printers[i], i, options.from_min);
  const std::vector<Item> items = items_of(loads);
  for (const Item& item : items) {
    if (Status fits = check_item(item, loads, printers, timelines); !fits) return fits.error();
  }
  CalendarOptions quick = options;
  const bool is_small = items.size() <= std::min<std::size_t>(options.most_exact, 20);
  if (is_small) quick.move_count = std::min<std::size_t>(options.move_count, 20'000);
  const Minute listed = latest_end(list_schedule(items, timelines), items, timelines);
  if (listed >= kNever)
    return Error{"no-window",
                 "the hours given end before everything is printed; allow more of them"};
  Start start{{options.from_min, {}}, {}};
  if (is_small && !loads.empty())
    start.lower = lower_bound(loads, timelines, printers, {options.from_min, listed});
  else if (!is_small)
    start = start_near_bound(loads, items, printers, timelines, listed, options, run);
  const Minute bound = start.lower.minute;
  Sequences sequences = search_locally(items, timelines, bound, start.plans, quick, run);
  Minute done = latest_end(sequences, items, timelines);
  bool is_proved = done <= bound;
  if (is_small && !is_proved) {
    const ExactAnswer exact = search_exactly(items, timelines, done, bound);
    if (exact.sequences) sequences = *exact.sequences;
    is_proved = exact.is_complete;
  }
  Calendar calendar = calendar_of(sequences, items, timelines, loads);
  calendar.is_proved_best = is_proved;
  calendar.bound_min = is_proved ? calendar.done_min : bound;
  add_reserve(calendar, loads, timelines, options.from_min);
  return calendar;
}

}  // namespace seamwright
