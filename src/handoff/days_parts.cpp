#include "handoff/days_parts.h"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "seamwright/handoff/corner_pads.h"
#include "seamwright/handoff/loose_parts.h"

namespace seamwright::days_parts {
namespace {

using Json = nlohmann::ordered_json;

std::size_t printer_of(const DayPlan& plan, std::size_t load) {
  for (const CalendarEntry& entry : plan.calendar.entries) {
    if (entry.load == load) return entry.printer;
  }
  throw std::logic_error("broken contract: each load is in the calendar");
}

std::string date_text(const DayPlan& plan, Minute minute) {
  const Moment moment = moment_at(plan.first_day, minute);
  const std::chrono::year_month_day date(moment.day);
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                     moment.minute / 60, moment.minute % 60);
}

Json load_json(const HandOff& hand_off, const CalendarEntry& entry) {
  const Load& load = hand_off.days->loads[entry.load];
  Json pieces = Json::array();
  for (const std::size_t piece : load.pieces)
    pieces.push_back(hand_off.days_input->input.pieces[piece].mark);
  return {{"id", fmt::format("L{}", entry.load + 1)},
          {"file", load_file(entry.load)},
          {"printer", hand_off.days_input->input.printers[entry.printer].load.name},
          {"pieces", std::move(pieces)},
          {"mass_g", load.mass_g},
          {"swap_min", entry.swap_min},
          {"start_min", entry.start_min},
          {"end_min", entry.end_min},
          {"new_spool", entry.is_new_spool}};
}

}  // namespace

std::vector<std::string> printer_names(const DaysInput& input) {
  std::vector<std::string> names;
  for (const DaysPrinter& printer : input.printers) names.push_back(printer.load.name);
  return names;
}

std::string load_file(std::size_t load) {
  return fmt::format("loads/load-{:02}.3mf", load + 1);
}

Json days_part(const HandOff& hand_off) {
  if (!hand_off.days) return {};
  const DayPlan& plan = *hand_off.days;
  const Calendar& calendar = plan.calendar;
  Json loads = Json::array(), helps = Json::array();
  for (const CalendarEntry& entry : calendar.entries) loads.push_back(load_json(hand_off, entry));
  for (const Help& help : plan.helps)
    helps.push_back({{"what", help.what}, {"done_min", help.done_min}});
  return {{"first_day", plan.has_date ? Json(date_text(plan, 0)) : Json()},
          {"from_min", plan.from_min},
          {"done_min", calendar.done_min},
          {"bound_min", calendar.bound_min},
          {"proved_best", calendar.is_proved_best},
          {"reserve_min", calendar.reserve_min},
          {"reserve_g", calendar.reserve_g},
          {"done_with_reserve_min", calendar.done_with_reserve_min},
          {"deadline_min", plan.deadline_min ? Json(*plan.deadline_min) : Json()},
          {"late_min", plan.late_min()},
          {"helps", std::move(helps)},
          {"loads", std::move(loads)}};
}

namespace {

void lay_on_bed(LoadSolids& out, const HandOff& hand_off, const std::string& mark,
                const Transform& onto_bed) {
  const PrintedThing thing = thing_marked(hand_off, mark);
  out.names.push_back(mark);
  if (const auto* loose = std::get_if<const LoosePart*>(&thing)) {
    out.solids.push_back(loose_part_in_file(**loose, hand_off.material).transformed(onto_bed));
    return;
  }
  if (const auto* lid = std::get_if<const ChannelLid*>(&thing)) {
    out.solids.push_back(lid_in_file(**lid, hand_off.material).transformed(onto_bed));
    return;
  }
  const FinishedPiece& piece = *std::get<const FinishedPiece*>(thing);
  out.solids.push_back(solid_in_file(piece, hand_off.material).transformed(onto_bed));
  if (piece.pads.empty()) return;
  const Solid pads = pads_in_file(piece, hand_off.material, hand_off.print.first_layer_mm);
  out.names.push_back(mark + " pads");
  out.solids.push_back(pads.transformed(onto_bed));
}

}  // namespace

LoadSolids load_solids(const HandOff& hand_off, std::size_t load) {
  const DayPlan& plan = *hand_off.days;
  const std::size_t printer = printer_of(plan, load);
  LoadSolids out{load_file(load), {}, {}};
  for (const NestPlace& place : *plan.loads[load].places[printer]) {
    Transform onto_bed = rotation({0, 0, 1}, place.turn);
    onto_bed.shift = {place.shift.x, place.shift.y, 0};
    const std::size_t item = plan.loads[load].pieces.at(place.item);
    lay_on_bed(out, hand_off, hand_off.days_input->input.pieces.at(item).mark, onto_bed);
  }
  return out;
}

}  // namespace seamwright::days_parts
