#include <fmt/format.h>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"
#include "seamwright/handoff/loose_parts.h"

namespace seamwright::report {

std::string lids_table(const HandOff& hand_off) {
  if (hand_off.lids.empty()) return "";
  std::vector<std::vector<std::string>> rows;
  for (std::size_t i = 0; i < hand_off.lids.size(); ++i) {
    const ChannelLid& lid = hand_off.lids[i];
    const LoosePrint print = i < hand_off.lid_prints.size() ? hand_off.lid_prints[i] : LoosePrint{};
    rows.push_back({"<b>" + lid.mark + "</b>",
                    text::escaped(hand_off.channels.at(lid.channel).name),
                    text::length(lid.length_mm), text::size(lid.solid.box().size()),
                    text::duration(print.print_s), fmt::format("{:.1f} g", print.mass_g),
                    "<code>" + lid_file(lid) + "</code>"});
  }
  return "<h3>Lids of the troughs</h3>\n" +
         table({"Mark", "Trough", "Length", "Size on the bed", "Time", "Filament", "File"}, rows,
               "Each prints flat without support and is bent into the trough's ups and downs when "
               "laid in, after gluing and wiring; it may bridge a seam. Tape or a few dots of glue "
               "hold it. Time and filament are in the totals.",
               {false, false, true, true, true, true, false});
}

}  // namespace seamwright::report
