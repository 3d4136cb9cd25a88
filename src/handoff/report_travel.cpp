#include <fmt/format.h>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"

namespace seamwright::report {
namespace {

std::string group_chips(const HandOff& hand_off, std::size_t group) {
  const auto& pieces = hand_off.bags->groups.at(group);
  return chips(hand_off, {pieces.begin(), pieces.end()});
}

std::string size_text(const Vec3& size) {
  return text::size(size);
}

std::string bag_text(const HandOff& hand_off, const PackedBag& packed, const std::string& picture) {
  std::string items;
  for (const BagPlace& place : packed.packing.places)
    items += "<li>" + group_chips(hand_off, place.item) + "</li>\n";
  std::string faults;
  for (const std::string& fault : carrier_faults(packed.bag, packed.packing.mass_g))
    faults += "<p class=\"notice\">" + text::escaped(fault) + "</p>";
  const std::string shown =
      picture.empty()
          ? ""
          : "<figure><img style=\"max-width:520px;width:100%\" alt=\"The things in the bag\" "
            "src=\"data:image/png;base64," +
                text::base64(picture) + "\"></figure>";
  return fmt::format(
      "<h3>{}: inside {}</h3>{}<p>{} in it, {:.0f} mm high. Put in, in this "
      "order:</p><ol>{}</ol>{}",
      text::escaped(packed.bag.name), size_text(packed.bag.inner_mm), shown,
      text::mass(packed.packing.mass_g), packed.packing.filled_mm, items, faults);
}

}  // namespace

std::string travel_section(const HandOff& hand_off, const std::vector<std::string>& bag_pictures) {
  if (!hand_off.bags) return "";
  std::string body;
  if (hand_off.bags->is_helped) {
    body = "<p class=\"notice\">Glued as planned it does not all go in. It does when " +
           seam_list(hand_off.bags->help_seams) +
           (hand_off.bags->help_seams.size() == 1 ? " comes" : " come") +
           " apart as well, the least set that was found: name them in <code>[travel] "
           "seams</code>, and give their joints magnets. So it would go in:</p>";
  }
  for (std::size_t i = 0; i < hand_off.bags->bags.size(); ++i)
    body +=
        bag_text(hand_off, hand_off.bags->bags[i], i < bag_pictures.size() ? bag_pictures[i] : "");
  if (!hand_off.bags->left_out.empty()) {
    std::string left;
    for (const std::size_t group : hand_off.bags->left_out)
      left += group_chips(hand_off, group) + " ";
    body += "<p class=\"notice\">Does not go in: " + left +
            ". No set of seams that was tried makes it fit.</p>";
  }
  return "<section id=\"travel\"><h2>Travel</h2>\n" + body +
         "<p class=\"basis\">Packed by height maps of the real shapes; what is nested is padded up "
         "and down. A checked "
         "bag: length, width and height at most 158 cm in sum, 23 kg, a carrier's rule and not a "
         "law: ask yours. "
         "Lithium packs: at most 100 Wh freely, spares in the cabin (IATA DGR 67).</p></section>\n";
}

}  // namespace seamwright::report
