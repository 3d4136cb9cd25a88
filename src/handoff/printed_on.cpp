#include "handoff/printed_on.h"

#include <algorithm>

namespace seamwright {
namespace {

/// The piece's place in what the days are planned from.
std::optional<std::size_t> day_item(const HandOff& hand_off, const std::string& mark) {
  if (!hand_off.days || !hand_off.days_input) return std::nullopt;
  const std::vector<DayPiece>& items = hand_off.days_input->input.pieces;
  const auto at = std::find_if(items.begin(), items.end(),
                               [&](const DayPiece& item) { return item.mark == mark; });
  if (at == items.end()) return std::nullopt;
  return static_cast<std::size_t>(at - items.begin());
}

const CalendarEntry* entry_with(const DayPlan& days, std::size_t item) {
  for (const CalendarEntry& entry : days.calendar.entries) {
    const std::vector<std::size_t>& pieces = days.loads.at(entry.load).pieces;
    if (std::find(pieces.begin(), pieces.end(), item) != pieces.end()) return &entry;
  }
  return nullptr;
}

}  // namespace

PrintedOn printed_on(const HandOff& hand_off, const FinishedPiece& piece) {
  const std::size_t planned = piece.planned.printer;
  const PrintedOn as_planned{planned, piece.print.print_s, piece.print.model_print_s};
  const std::optional<std::size_t> item =
      piece.is_done ? std::nullopt : day_item(hand_off, piece.mark);
  const CalendarEntry* entry = item ? entry_with(*hand_off.days, *item) : nullptr;
  if (entry == nullptr || entry->printer == planned) return as_planned;
  const std::optional<double> there_s =
      hand_off.days_input->input.pieces[*item].print_s.at(entry->printer);
  require(there_s.has_value(), "the calendar puts a piece where it fits");
  const double factor_ratio = hand_off.printers.at(entry->printer).time_factor_ratio;
  return {entry->printer, *there_s, *there_s / factor_ratio};
}

}  // namespace seamwright
