#include "seamwright/days/plan_days.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace seamwright {
namespace {

constexpr Minute kDay = 24 * 60;
constexpr int kMostDays = 400;

struct Clock {
  std::chrono::sys_days first_day{};
  bool has_date = false;
  Minute from_min = 0;
  std::optional<Minute> deadline_min;
  std::vector<std::chrono::sys_days> days_off;
};

// Without a date, day 1 is a Monday: 2024-01-01 was one.
Moment start_of(const DaysChoice& choice) {
  return parse_moment(choice.start.empty() ? "2024-01-01" : choice.start).value();
}

Result<Clock> read_clock(const DaysChoice& choice) {
  if (const auto fault = find_days_fault(choice))
    return Error(fault->error).within("[days] " + fault->key);
  const Moment start = start_of(choice);
  Clock clock{.first_day = start.day, .has_date = !choice.start.empty(), .from_min = start.minute};
  if (!choice.deadline.empty())
    clock.deadline_min = minute_of(clock.first_day, parse_moment(choice.deadline).value());
  for (const std::string& words : choice.days_off)
    clock.days_off.push_back(parse_moment(words).value().day);
  return clock;
}

/// Hours of one kind laid over the calendar.
Result<std::vector<MinuteSpan>> laid_hours(const std::vector<std::string>& rules,
                                           const Clock& clock) {
  const auto week = parse_week_hours(rules);
  if (!week) return week.error();
  return lay_week(*week, clock.first_day, kMostDays, clock.days_off);
}

Result<CalendarPrinter> calendar_printer(const DaysPrinter& printer, const DaysChoice& choice,
                                         const Clock& clock) {
  CalendarPrinter out{.name = printer.load.name};
  const auto awake = laid_hours(printer.awake.empty() ? choice.awake : printer.awake, clock);
  if (!awake) return Error(awake.error()).within("awake hours of " + printer.load.name);
  const auto home = laid_hours(printer.home.empty() ? choice.home : printer.home, clock);
  if (!home) return Error(home.error()).within("home hours of " + printer.load.name);
  const auto asleep = laid_hours(choice.asleep, clock);
  if (!asleep) return Error(asleep.error()).within("[days] asleep");
  out.awake = *awake;
  out.home = *home;
  if (choice.has_empty_house) {
    out.home = {{0, kMostDays * kDay}};
  } else {
    // Whoever swaps is there.
    out.home.insert(out.home.end(), awake->begin(), awake->end());
    out.home = merged(std::move(out.home));
  }
  if (!choice.has_nights) out.home = spans_without(out.home, *asleep);
  out.swap_min = std::lround(choice.swap_min);
  out.spool_change_min = std::lround(choice.spool_change_min);
  out.spool_g = printer.spool_g;
  return out;
}

CalendarLoad calendar_load(const Load& load, std::string name, const DaysInput& input) {
  CalendarLoad out{.name = std::move(name), .mass_g = load.mass_g, .material = load.material};
  out.spool_group = load.spool_group;
  out.is_trial = load.is_trial;
  double least_h = Box3::kFar;
  for (const auto& print_s : load.print_s) {
    std::optional<Minute> minutes;
    if (print_s) {
      minutes = std::max<Minute>(1, static_cast<Minute>(std::ceil(*print_s / 60)));
      least_h = std::min(least_h, *print_s / 3600);
    }
    out.print_min.push_back(minutes);
  }
  const double lost_h =
      failure_loss_h(least_h, input.first_layer_failure_ratio, input.failure_per_h);
  out.expected_loss_min = std::lround(lost_h * 60);
  out.expected_loss_g = load.mass_g * lost_h / least_h;
  return out;
}

std::string name_of_load(const Load& load, std::size_t index, std::span<const DayPiece> pieces) {
  std::string marks;
  for (const std::size_t piece : load.pieces)
    marks += (marks.empty() ? "" : ", ") + pieces[piece].mark;
  return fmt::format("load {}: {}", index + 1, marks);
}

/// Load 1 is the first to be printed.
void number_by_start(DayPlan& plan, std::span<const DayPiece> pieces) {
  std::vector<Load> loads;
  plan.load_names.clear();
  for (CalendarEntry& entry : plan.calendar.entries) {
    loads.push_back(std::move(plan.loads[entry.load]));
    entry.load = loads.size() - 1;
    plan.load_names.push_back(name_of_load(loads.back(), entry.load, pieces));
  }
  plan.loads = std::move(loads);
}

bool meets(const std::vector<MinuteSpan>& spans, const CalendarEntry& entry) {
  return std::any_of(spans.begin(), spans.end(), [&](const MinuteSpan& span) {
    return span.begin < entry.end_min && entry.start_min < span.end;
  });
}

/// Loads and calendar, nothing about what would help.
Result<DayPlan> plan_once(const DaysInput& input, const Run& run) {
  const Result<Clock> clock = read_clock(input.choice);
  if (!clock) return clock.error();
  std::vector<CalendarPrinter> printers;
  std::vector<LoadPrinter> beds;
  for (const DaysPrinter& printer : input.printers) {
    Result<CalendarPrinter> made = calendar_printer(printer, input.choice, *clock);
    if (!made) return made.error();
    beds.push_back(printer.load);
    beds.back().longest_s = static_cast<double>(longest_print_min(*made)) * 60;
    printers.push_back(std::move(*made));
  }
  Result<std::vector<Load>> loads = plan_loads(input.pieces, beds,
                                               {.per_load = input.choice.per_load,
                                                .clearance_mm = input.choice.clearance_mm,
                                                .few_h = input.choice.few_h});
  if (!loads) return loads.error();
  DayPlan plan{
      .first_day = clock->first_day, .has_date = clock->has_date, .from_min = clock->from_min};
  plan.deadline_min = clock->deadline_min;
  plan.loads = std::move(*loads);
  std::vector<CalendarLoad> calendar_loads;
  for (std::size_t i = 0; i < plan.loads.size(); ++i) {
    plan.load_names.push_back(name_of_load(plan.loads[i], i, input.pieces));
    calendar_loads.push_back(calendar_load(plan.loads[i], plan.load_names[i], input));
  }
  Result<Calendar> calendar =
      plan_calendar(calendar_loads, printers, {.from_min = clock->from_min}, run);
  if (!calendar) return calendar.error();
  plan.calendar = std::move(*calendar);
  number_by_start(plan, input.pieces);
  plan.asleep = laid_hours(input.choice.asleep, *clock).value();
  const std::vector<MinuteSpan> home = laid_hours(input.choice.home, *clock).value();
  const std::vector<MinuteSpan> awake = laid_hours(input.choice.awake, *clock).value();
  std::vector<MinuteSpan> present = home;
  present.insert(present.end(), awake.begin(), awake.end());
  const std::vector<MinuteSpan> always{{0, kMostDays * kDay}};
  const std::vector<MinuteSpan> empty = spans_without(always, merged(std::move(present)));
  for (const CalendarEntry& entry : plan.calendar.entries) {
    plan.night_count += meets(plan.asleep, entry) ? 1 : 0;
    plan.empty_house_count += meets(empty, entry) ? 1 : 0;
    if (!plan.deadline_min || entry.end_min <= *plan.deadline_min) continue;
    for (const std::size_t piece : plan.loads[entry.load].pieces)
      plan.late_pieces.push_back(input.pieces[piece].mark);
  }
  return plan;
}

void try_change(std::vector<Help>& helps, const DaysInput& changed, std::string what,
                const Run& run) {
  const Result<DayPlan> plan = plan_once(changed, run);
  if (plan) helps.push_back({std::move(what), plan->calendar.done_with_reserve_min});
}

/// One more printer like the given one.
DaysInput with_twin(DaysInput input, std::size_t printer) {
  input.printers.push_back(input.printers[printer]);
  for (DayPiece& piece : input.pieces) piece.print_s.push_back(piece.print_s[printer]);
  return input;
}

DaysInput with_longer_prints(DaysInput input, double ratio) {
  for (DayPiece& piece : input.pieces) {
    for (auto& print_s : piece.print_s) {
      if (print_s) *print_s *= ratio;
    }
  }
  return input;
}

/// Without the pieces of the given marks: somebody else prints them, or they wait.
DaysInput without(DaysInput input, const std::vector<std::string>& marks) {
  const bool has_thick = input.thick_print_s.size() == input.pieces.size();
  for (std::size_t i = input.pieces.size(); i-- > 0;) {
    if (std::find(marks.begin(), marks.end(), input.pieces[i].mark) == marks.end()) continue;
    input.pieces.erase(input.pieces.begin() + static_cast<std::ptrdiff_t>(i));
    if (has_thick)
      input.thick_print_s.erase(input.thick_print_s.begin() + static_cast<std::ptrdiff_t>(i));
  }
  return input;
}

std::vector<std::string> marks_of_last_load(const DaysInput& input, const DayPlan& plan) {
  const auto last = std::max_element(
      plan.calendar.entries.begin(), plan.calendar.entries.end(),
      [](const CalendarEntry& a, const CalendarEntry& b) { return a.end_min < b.end_min; });
  std::vector<std::string> marks;
  for (const std::size_t piece : plan.loads[last->load].pieces)
    marks.push_back(input.pieces[piece].mark);
  return marks;
}

/// Fewer pieces: what ends late goes, then the last load of each new plan until that is in time.
void try_fewer_pieces(std::vector<Help>& helps, const DaysInput& input, const DayPlan& plan,
                      const Run& run) {
  constexpr int kMostTries = 4;
  std::vector<std::string> marks = plan.late_pieces;
  if (marks.empty()) marks = marks_of_last_load(input, plan);
  std::optional<Minute> done_min;
  for (int tries = 0; tries < kMostTries && marks.size() < input.pieces.size(); ++tries) {
    const DaysInput fewer = without(input, marks);
    const Result<DayPlan> next = plan_once(fewer, run);
    if (!next) return;
    done_min = next->calendar.done_with_reserve_min;
    if (next->late_min() == 0 || tries + 1 == kMostTries) break;
    for (std::string& mark : marks_of_last_load(fewer, *next)) marks.push_back(std::move(mark));
  }
  if (!done_min) return;
  const bool is_one = marks.size() == 1;
  helps.push_back(
      {fmt::format("{} fewer piece{} (leave {} for later, or have {} printed elsewhere)",
                   marks.size(), is_one ? "" : "s", fmt::join(marks, ", "), is_one ? "it" : "them"),
       *done_min});
}

/// Whether one more of either is the same help: same room, hours, and time for every piece.
bool are_alike(const DaysInput& input, std::size_t a, std::size_t b) {
  const DaysPrinter &one = input.printers[a], &other = input.printers[b];
  return one.load.bed.outline == other.load.bed.outline &&
         one.load.bed.blocked == other.load.bed.blocked &&
         one.load.height_mm == other.load.height_mm && one.awake == other.awake &&
         one.home == other.home && one.spool_g == other.spool_g &&
         std::all_of(input.pieces.begin(), input.pieces.end(), [&](const DayPiece& piece) {
           return piece.print_s.at(a) == piece.print_s.at(b);
         });
}

/// The first printer of each kind, and the names of all of that kind: "left cube or right cube".
std::vector<std::pair<std::size_t, std::string>> kinds_of_printers(const DaysInput& input) {
  std::vector<std::pair<std::size_t, std::string>> kinds;
  for (std::size_t i = 0; i < input.printers.size(); ++i) {
    const std::string& name = input.printers[i].load.name;
    const auto known = std::find_if(kinds.begin(), kinds.end(), [&](const auto& kind) {
      return are_alike(input, kind.first, i);
    });
    if (known == kinds.end())
      kinds.emplace_back(i, name);
    else
      known->second += " or " + name;
  }
  return kinds;
}

void try_more_printers(std::vector<Help>& helps, const DaysInput& input, const Run& run) {
  for (const auto& [printer, like] : kinds_of_printers(input))
    try_change(helps, with_twin(input, printer), "borrow one more printer like " + like, run);
}

/// What gains so much at least, best first.
void keep_best(std::vector<Help>& helps, const DayPlan& plan, Minute least_gain_min) {
  const Minute latest_min = plan.calendar.done_with_reserve_min - least_gain_min;
  std::erase_if(helps, [&](const Help& help) { return help.done_min > latest_min; });
  std::stable_sort(helps.begin(), helps.end(),
                   [](const Help& a, const Help& b) { return a.done_min < b.done_min; });
}

/// Without a deadline: what one more printer saves of a long plan, by days.
std::vector<Help> find_savings(const DaysInput& input, const DayPlan& plan, const Run& run) {
  constexpr Minute kLong = 7 * kDay;
  std::vector<Help> helps;
  if (plan.calendar.done_with_reserve_min - plan.from_min < kLong) return helps;
  try_more_printers(helps, input, run);
  keep_best(helps, plan, kDay);
  return helps;
}

std::vector<Help> find_helps(const DaysInput& input, const DayPlan& plan, const Run& run) {
  std::vector<Help> helps;
  try_fewer_pieces(helps, input, plan, run);
  try_more_printers(helps, input, run);
  DaysInput changed = input;
  if (!input.choice.has_nights) {
    changed.choice.has_nights = true;
    try_change(helps, changed, "print at night too (mind the caution)", run);
    changed = input;
  }
  for (const auto& [word, per_load] : names(PerLoad{})) {
    if (per_load == input.choice.per_load) continue;
    changed.choice.per_load = per_load;
    try_change(helps, changed, fmt::format("{} piece{} to a load", word, word == "one" ? "" : "s"),
               run);
  }
  changed = input;
  if (input.thick_print_s.size() == input.pieces.size()) {
    for (std::size_t i = 0; i < input.pieces.size(); ++i) {
      changed.pieces[i].print_s = input.thick_print_s[i];
    }
    try_change(helps, changed,
               fmt::format("layers of {:.2f} mm (rougher skin)", input.thick_layer_mm), run);
  }
  keep_best(helps, plan, 1);
  return helps;
}

std::optional<DaysFault> find_order_fault(const DaysChoice& choice) {
  if (choice.deadline.empty()) return std::nullopt;
  if (choice.start.empty())
    return DaysFault{
        "deadline", {}, {"bad-days", "a deadline needs a start, as start = \"2026-10-01 18:00\""}};
  const Moment start = start_of(choice);
  if (minute_of(start.day, parse_moment(choice.deadline).value()) > start.minute)
    return std::nullopt;
  return DaysFault{"deadline",
                   {},
                   {"bad-days", fmt::format("the deadline {} does not lie after the start {}: "
                                            "give a later one",
                                            choice.deadline, choice.start)}};
}

}  // namespace

std::optional<DaysFault> find_days_fault(const DaysChoice& choice) {
  for (const auto& [key, words] :
       {std::pair<const char*, const std::string&>{"start", choice.start},
        {"deadline", choice.deadline}}) {
    if (words.empty()) continue;
    if (const auto moment = parse_moment(words); !moment) return DaysFault{key, {}, moment.error()};
  }
  for (std::size_t i = 0; i < choice.days_off.size(); ++i) {
    if (const auto day = parse_moment(choice.days_off[i]); !day)
      return DaysFault{"days_off", i, day.error()};
  }
  for (const auto& [key, rules] :
       {std::pair<const char*, const std::vector<std::string>&>{"awake", choice.awake},
        {"home", choice.home},
        {"asleep", choice.asleep}}) {
    for (std::size_t i = 0; i < rules.size(); ++i) {
      if (const auto hours = parse_week_hours({&rules[i], 1}); !hours)
        return DaysFault{key, i, hours.error()};
    }
  }
  return find_order_fault(choice);
}

Result<DayPlan> plan_days(const DaysInput& input, const Run& run) {
  Result<DayPlan> plan = plan_once(input, run);
  if (!plan) return plan;
  plan->band_ratio = input.band_ratio;
  if (const Result<DayPlan> slow = plan_once(with_longer_prints(input, 1 + input.band_ratio), run))
    plan->slow_done_min = slow->calendar.done_with_reserve_min;
  // What would help is told anew by the days command.
  if (run.should_finish()) return plan;
  if (!plan->deadline_min) plan->helps = find_savings(input, *plan, run);
  if (plan->late_min() > 0) plan->helps = find_helps(input, *plan, run);
  return plan;
}

std::string minute_words(const DayPlan& plan, Minute minute) {
  const Moment moment = moment_at(plan.first_day, minute);
  const std::string words = moment_words(moment);
  if (plan.has_date) return words;
  return fmt::format("day {}, {} {:02}:{:02}", (moment.day - plan.first_day).count() + 1,
                     words.substr(0, 3), moment.minute / 60, moment.minute % 60);
}

int day_count(const DayPlan& plan) {
  const Minute last = std::max(plan.calendar.done_with_reserve_min, plan.from_min + 1) - 1;
  return static_cast<int>(last / kDay - plan.from_min / kDay) + 1;
}

}  // namespace seamwright
