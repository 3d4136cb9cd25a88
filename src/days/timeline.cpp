#include "days/timeline.h"

#include <algorithm>

namespace seamwright::days_detail {

Timeline::Timeline(std::span<const CalendarLoad> loads, const CalendarPrinter& printer,
                   std::size_t index, Minute from_min)
    : loads_(loads), printer_(&printer), index_(index), from_min_(from_min) {
  for (const MinuteSpan& home : printer.home) {
    const std::vector<MinuteSpan> one{home};
    for (const MinuteSpan& awake : common_spans(printer.awake, one))
      openings_.push_back({awake.begin, awake.end, home.end});
  }
  Minute before = 0;
  for (const MinuteSpan& home : printer.home) {
    home_before_.push_back(before);
    before += home.end - home.begin;
  }
}

std::optional<Minute> Timeline::earliest_swap(Minute from, Minute swap_min,
                                              Minute print_min) const {
  auto at = std::partition_point(openings_.begin(), openings_.end(), [&](const Opening& opening) {
    return opening.awake_end < from + swap_min;
  });
  for (; at != openings_.end(); ++at) {
    const Minute begin = std::max(at->begin, from);
    if (begin + swap_min <= at->awake_end && begin + swap_min + print_min <= at->home_end)
      return begin;
  }
  return std::nullopt;
}

bool Timeline::append(PrinterState& state, const Item& item,
                      std::vector<CalendarEntry>* entries) const {
  // The whole item comes from one spool.
  const bool needs_spool = state.material != item.material || state.spool_left_g < item.mass_g;
  bool is_new_spool = needs_spool;
  for (const std::size_t load : item.loads) {
    const std::optional<Minute> print = print_min(load);
    if (!print) return false;
    const Minute swap = printer_->swap_min + (is_new_spool ? printer_->spool_change_min : 0);
    const std::optional<Minute> begin = earliest_swap(state.free_min, swap, *print);
    if (!begin) return false;
    state.free_min = *begin + swap + *print;
    if (entries != nullptr)
      entries->push_back({load, index_, *begin, *begin + swap, state.free_min, is_new_spool});
    is_new_spool = false;
  }
  state.material = item.material;
  // One load may need more than a spool holds: it is changed in the middle, by a runout pause.
  if (needs_spool) state.spool_left_g = std::max(printer_->spool_g, item.mass_g);
  state.spool_left_g -= item.mass_g;
  return true;
}

Minute Timeline::home_between(Minute from, Minute to) const {
  const auto home_until = [&](Minute minute) -> Minute {
    const auto& home = printer_->home;
    const auto at = std::partition_point(
        home.begin(), home.end(), [&](const MinuteSpan& span) { return span.end <= minute; });
    const auto i = static_cast<std::size_t>(at - home.begin());
    if (at == home.end())
      return home.empty() ? 0 : home_before_.back() + home.back().end - home.back().begin;
    return home_before_[i] + std::max<Minute>(0, minute - at->begin);
  };
  return to <= from ? 0 : home_until(to) - home_until(from);
}

Minute end_of(const Timeline& timeline, std::span<const Item> items,
              std::span<const std::size_t> sequence) {
  PrinterState state = timeline.begin();
  if (sequence.empty()) return state.free_min;
  for (const std::size_t item : sequence) {
    if (!timeline.append(state, items[item])) return kNever;
  }
  return state.free_min;
}

}  // namespace seamwright::days_detail
