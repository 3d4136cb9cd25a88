#include <fmt/format.h>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"
#include "seamwright/handoff/shopping.h"

namespace seamwright::report {

std::string shopping_section(const HandOff& hand_off) {
  std::vector<std::vector<std::string>> rows;
  for (const ShoppingLine& line : shopping_list(hand_off))
    rows.push_back(
        {text::escaped(line.what), text::escaped(line.amount()), text::escaped(line.how)});
  const FinishInput input = finish_input(hand_off);
  const FinishNeeds needs = finish_needs(input, hand_off.finish);
  return "<section id=\"shopping\"><h2>To buy, and to finish by hand</h2>\n" +
         table({"What", "How much", "How it was found"}, rows, "Also in <code>shopping.csv</code>.",
               {false, true, false}) +
         fmt::format(
             "<p>Finishing takes about {:.1f} h by your rates or assumed ones: gluing {:.1f}, "
             "welding {:.1f}, filling "
             "{:.1f}, sanding {:.1f}, priming {:.1f} h; {} of seam are seen, {} hidden, {:.2f} m² "
             "of skin are "
             "seen.</p><p class=\"notice\">Filler with styrene: 50 ppm over a shift, 100 ppm short "
             "term (NIOSH), so "
             "open air or a mask with organic-vapour filters; dust of filler and plastic: a P2 or "
             "P3 mask, wet "
             "sanding; weld in moving air. Follow the makers' sheets.</p></section>\n",
             needs.all_h(), needs.glue_h, needs.weld_h, needs.fill_h, needs.sand_h, needs.prime_h,
             text::length(input.shown_mm), text::length(input.hidden_mm), input.skin_mm2 / 1e6);
}

}  // namespace seamwright::report
