#include <fmt/format.h>

#include "handoff/days_parts.h"
#include "handoff/report_sections.h"
#include "handoff/report_text.h"
#include "seamwright/days/chart.h"
#include "seamwright/handoff/loose_parts.h"

namespace seamwright::report {

std::string load_chips(const HandOff& hand_off, const Load& load) {
  std::string html;
  for (const std::size_t item : load.pieces) {
    const std::string& mark = hand_off.days_input->input.pieces[item].mark;
    const PrintedThing thing = thing_marked(hand_off, mark);
    const auto* piece = std::get_if<const FinishedPiece*>(&thing);
    html += html.empty() ? "" : " ";
    html += piece != nullptr
                ? mark_chip(hand_off, static_cast<std::size_t>(*piece - hand_off.pieces.data()))
                : text::escaped(mark);
  }
  return html;
}

namespace {

/// A hand-off knows its own part only.
constexpr std::string_view kThisPartAlone =
    "<p class=\"basis\">These days are for this part alone, as if its printers did nothing else. "
    "Where "
    "other parts share them, one calendar for all comes from <code>seamwright days FOLDER "
    "FOLDER</code>, and that one holds.</p>\n";

std::string days_table(const HandOff& hand_off) {
  const DayPlan& plan = *hand_off.days;
  std::vector<std::vector<std::string>> rows;
  for (const CalendarEntry& entry : plan.calendar.entries) {
    const Load& load = plan.loads[entry.load];
    rows.push_back({fmt::format("<b>{}</b>", entry.load + 1), load_chips(hand_off, load),
                    text::escaped(hand_off.days_input->input.printers[entry.printer].load.name),
                    minute_words(plan, entry.swap_min), minute_words(plan, entry.end_min),
                    text::duration(60.0 * static_cast<double>(entry.end_min - entry.start_min)),
                    text::mass(load.mass_g), entry.is_new_spool ? "new spool" : "",
                    "<code>" + days_parts::load_file(entry.load) + "</code>"});
  }
  const bool has_loose = !hand_off.loose_prints.empty() || !hand_off.lid_prints.empty();
  return table(
      {"Load", "Pieces", "Printer", "Swap from", "Done", "Prints", "Filament", "", "File"}, rows,
      std::string(has_loose ? "What is no piece is a strap or a lid: see Loose parts of the "
                              "joints. "
                            : "") +
          "Swap from: from then on you clear the bed and start the load. "
          "Times: computed from the pieces' estimates, in hours you gave or that are assumed. Dark "
          "ends of the bars are swaps; shaded are hours of sleep.",
      {false, false, false, false, false, true, true, false, false});
}

}  // namespace

std::string days_section(const HandOff& hand_off) {
  if (!hand_off.days) return "";
  const DayPlan& plan = *hand_off.days;
  std::string said;
  for (const std::string& sentence : calendar_sentences(plan))
    said += "<li>" + text::escaped(sentence) + "</li>\n";
  const std::string caution =
      plan.night_count + plan.empty_house_count > 0
          ? "<p class=\"notice\">" + std::string(unattended_caution()) + "</p>"
          : "";
  return "<section id=\"days\"><h2>Days</h2>\n<div class=\"wide\">" +
         calendar_svg(plan, days_parts::printer_names(hand_off.days_input->input)) + "</div><ul>" +
         said + "</ul>" + caution + std::string(kThisPartAlone) + days_table(hand_off) +
         "</section>\n";
}

}  // namespace seamwright::report
