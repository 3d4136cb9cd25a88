#include "seamwright/handoff/report.h"

#include <fmt/format.h>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"

namespace seamwright {
namespace {

std::string head(const HandOff& hand_off) {
  return fmt::format(
      "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" "
      "content=\"width=device-width, initial-scale=1\">"
      "<title>{} in {}</title><style>{}{}</style></head><body>\n",
      text::escaped(hand_off.part.file), text::counted(hand_off.pieces.size(), "piece", "pieces"),
      report::style(), report::piece_styles(hand_off));
}

}  // namespace

std::string report_html(const HandOff& hand_off, const HandOffPictures& pictures,
                        const ReportOptions& options, const Run& run) {
  require(pictures.pieces.size() == hand_off.pieces.size(), "one picture a piece");
  return head(hand_off) + "<main>" + report::first_screen(hand_off, pictures) +
         report::turnable_section(hand_off, pictures, options.face_count, run) +
         report::warnings_section(hand_off) + report::days_section(hand_off) +
         report::pieces_section(hand_off) + report::directions_section(hand_off) +
         report::printing_section(hand_off) + report::seams_section(hand_off) +
         report::other_plans_section(hand_off) + report::joints_section(hand_off) +
         report::loose_parts_section(hand_off) + report::strength_section(hand_off) +
         report::wiring_section(hand_off, pictures) + report::assembly_section(hand_off, run) +
         report::wear_section(hand_off) + report::travel_section(hand_off, pictures.bags) +
         report::shopping_section(hand_off) + report::cautions_section() +
         report::basis_section(hand_off) + "</main>\n<script>" + std::string(report::script()) +
         "</script></body></html>\n";
}

}  // namespace seamwright
