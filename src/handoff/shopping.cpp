#include "seamwright/handoff/shopping.h"

#include <fmt/format.h>

#include <cmath>
#include <map>

#include "handoff/report_text.h"

namespace seamwright {
namespace {

ShoppingLine spools(const HandOff& hand_off) {
  const PrintTotals totals = print_totals(hand_off);
  const double reserve_g = hand_off.days ? hand_off.days->calendar.reserve_g : 0;
  const double spool_g = hand_off.material.spool_g, needed_g = totals.mass_g + reserve_g;
  auto count = static_cast<std::size_t>(std::ceil(needed_g / spool_g - 1e-9));
  std::size_t begun = 0;
  if (hand_off.days) {
    for (const std::size_t n : hand_off.days->calendar.spool_count) begun += n;
  }
  const std::string why =
      begun > count ? fmt::format("; {} because each printer begins its own", begun) : "";
  count = std::max(count, begun);
  return {fmt::format("{}, spools of {:.0f} g", hand_off.material.name, spool_g),
          fmt::format("{}", count),
          fmt::format("{} laid, {:.0f} g in reserve for failures{}; about {:.2f} in your currency "
                      "for what is laid",
                      text::mass(totals.mass_g), reserve_g, why,
                      totals.mass_g / 1000 * hand_off.material.price_per_kg)};
}

/// Loose rods: a hole deep on each side.
void add_rods(std::vector<ShoppingLine>& lines, const HandOff& hand_off) {
  std::map<double, std::pair<std::size_t, double>> by_diameter;
  for (const Joint& joint : hand_off.joints) {
    for (const Key& key : joint.keys) {
      if (key.kind != KeyKind::dowel) continue;
      auto& [count, length_mm] = by_diameter[key.diameter_mm];
      ++count;
      length_mm += 2 * key.depth_mm;
    }
  }
  for (const auto& [diameter_mm, needed] : by_diameter) {
    lines.push_back(
        {fmt::format("rod of {:.2f} mm", diameter_mm), text::length(needed.second),
         fmt::format("{} dowels, twice the hole's depth each; 1.75 mm is filament", needed.first)});
  }
}

void add_wires(std::vector<ShoppingLine>& lines, const HandOff& hand_off) {
  constexpr double kTailMm = 300;
  for (const Channel& channel : hand_off.channels) {
    lines.push_back({"wire for " + channel.name, text::length(channel.length_mm + 2 * kTailMm),
                     fmt::format("each conductor: its way of {} and 30 cm at each end (assumption)",
                                 text::length(channel.length_mm))});
  }
}

void add_amount(std::vector<ShoppingLine>& lines, const std::string& what, double amount,
                const char* unit, const std::string& how) {
  if (amount > 0) lines.push_back({what, fmt::format("{:.0f} {}", std::ceil(amount), unit), how});
}

std::string quoted(const std::string& field) {
  std::string out = "\"";
  for (const char c : field) out += c == '"' ? "\"\"" : std::string(1, c);
  return out + "\"";
}

}  // namespace

FinishInput finish_input(const HandOff& hand_off) {
  const PrintTotals totals = print_totals(hand_off);
  FinishInput input{.shown_mm = totals.shown_mm, .hidden_mm = totals.hidden_mm};
  input.density_g_per_cm3 = hand_off.material.density_g_per_cm3;
  for (const Joint& joint : hand_off.joints) {
    if (!joint.is_glued) continue;
    input.joint_mm2 += joint.face.area_mm2;
    ++input.joint_count;
  }
  // Primed is what is seen: each face by its sight.
  for (std::size_t f = 0; f < hand_off.wired.face_count() && f < hand_off.sight.size(); ++f)
    input.skin_mm2 +=
        hand_off.sight[f] > 0.05 ? norm(hand_off.wired.area_normal(to_id<FaceId>(f))) / 2 : 0;
  return input;
}

std::vector<ShoppingLine> shopping_list(const HandOff& hand_off) {
  std::vector<ShoppingLine> lines{spools(hand_off)};
  add_rods(lines, hand_off);
  add_wires(lines, hand_off);
  const FinishNeeds needs = finish_needs(finish_input(hand_off), hand_off.finish);
  const FinishChoice& finish = hand_off.finish;
  const std::string waste = fmt::format(", {:.0f} % on top", 100 * finish.waste_ratio);
  add_amount(lines, "glue", needs.glue_ml, "ml",
             fmt::format("area of glued joints times {:.2f} mm{}", finish.glue_mm, waste));
  add_amount(lines, "weld filament", needs.weld_g, "g",
             fmt::format("shown seam times a V of {:.1f} x {:.1f} mm{}", finish.groove_width_mm,
                         finish.groove_depth_mm, waste));
  add_amount(lines, "filler", needs.filler_ml, "ml",
             fmt::format("shown seam times a fairing of {:.0f} mm, {:.1f} mm deep{}",
                         finish.fairing_mm, finish.fairing_depth_mm, waste));
  add_amount(lines, "primer", needs.primer_ml, "ml",
             fmt::format("skin that is seen, {} coats of {:.0f} ml/m2{}", finish.primer_coats,
                         finish.primer_ml_per_m2, waste));
  return lines;
}

std::string shopping_csv(const std::vector<ShoppingLine>& lines) {
  std::string out = "what,amount,how\r\n";
  for (const ShoppingLine& line : lines)
    out += quoted(line.what) + "," + quoted(line.amount) + "," + quoted(line.how) + "\r\n";
  return out;
}

}  // namespace seamwright
