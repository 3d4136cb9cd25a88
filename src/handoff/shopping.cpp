#include "seamwright/handoff/shopping.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "handoff/report_text.h"
#include "seamwright/handoff/loose_parts.h"
#include "seamwright/joints/inserts.h"
#include "seamwright/joints/loose_parts.h"
#include "seamwright/wiring/bundle.h"

namespace seamwright {
namespace {

ShoppingLine spools(const HandOff& hand_off) {
  const PrintTotals totals = print_totals(hand_off);
  const double reserve_g = hand_off.days ? hand_off.days->calendar.reserve_g : 0;
  ShoppingLine line;
  line.what =
      fmt::format("{}, spools of {:.0f} g", hand_off.material.name, hand_off.material.spool_g);
  line.need.mass_g = totals.mass_g + reserve_g;
  line.need.spool_g = hand_off.material.spool_g;
  if (hand_off.days) {
    for (const std::size_t n : hand_off.days->calendar.spool_count) line.need.least_spools += n;
  }
  line.how = fmt::format(
      "computed: {} in all, {:.0f} g of it in loose parts and lids, {:.0f} g in reserve for "
      "failures; the "
      "printers begin {}; about {:.2f} in your currency for what is laid, at an assumed or given "
      "price",
      text::mass(totals.mass_g), totals.loose_mass_g, reserve_g, line.need.least_spools,
      totals.mass_g / 1000 * hand_off.material.price_per_kg);
  return line;
}

/// Rods of the dowels, and of the spars.
void add_rods(std::vector<ShoppingLine>& lines, const HandOff& hand_off) {
  std::map<double, std::pair<std::size_t, double>> by_diameter;
  for (const RodCut& rod : rod_cuts(hand_off.joints)) {
    auto& [count, length_mm] = by_diameter[rod.diameter_mm];
    count += rod.count;
    length_mm += static_cast<double>(rod.count) * rod.length_mm;
  }
  for (const auto& [diameter_mm, needed] : by_diameter) {
    lines.push_back({fmt::format("rod of {:.2f} mm", diameter_mm),
                     {.length_mm = needed.second},
                     fmt::format("computed: {} dowels as loose_parts.csv cuts them{}", needed.first,
                                 diameter_mm == 1.75 ? "; filament is such a rod" : "")});
  }
  for (const Channel& channel : hand_off.channels) {
    if (channel.kind != "spar") continue;
    lines.push_back({fmt::format("rod of {:.2f} mm for {}", channel.diameter_mm, channel.name),
                     {.length_mm = channel.length_mm},
                     "computed: the length of its bore"});
  }
}

void add_magnets(std::vector<ShoppingLine>& lines, const HandOff& hand_off) {
  std::size_t pairs = 0;
  for (const Joint& joint : hand_off.joints) {
    for (const Key& key : joint.keys) pairs += key.kind == KeyKind::magnet ? 1 : 0;
  }
  if (pairs == 0) return;
  lines.push_back(
      {fmt::format("disc magnet of {:.1f} x {:.1f} mm", hand_off.joinery.magnet_diameter_mm,
                   hand_off.joinery.magnet_height_mm),
       {.count = 2 * pairs},
       fmt::format("computed: {} pairs, one magnet in each piece", pairs)});
}

void add_screws(std::vector<ShoppingLine>& lines, const HandOff& hand_off) {
  std::map<double, std::size_t> by_length;
  std::size_t all = 0;
  for (const Joint& joint : hand_off.joints) {
    for (const Key& key : joint.keys) {
      if (key.kind != KeyKind::flange) continue;
      ++by_length[key.length_mm];
      ++all;
    }
  }
  if (all == 0) return;
  const InsertThread thread = hand_off.joinery.insert;
  const bool has_inserts = thread != InsertThread::none;
  const std::string_view name = name_of(has_inserts ? thread : InsertThread::m3);
  for (const auto& [length_mm, count] : by_length) {
    lines.push_back({fmt::format("{} screw of {:.0f} mm", name, length_mm),
                     {.count = count},
                     has_inserts
                         ? "computed: one a hole; through the flange, ending over the bore's floor"
                         : "computed: one a hole; through both flanges and its nut"});
  }
  const InsertSize size = insert_size(thread);
  if (has_inserts)
    lines.push_back(
        {fmt::format("heat-set insert {} of {:.1f} mm", name, size.length_mm),
         {.count = all},
         "computed: one a screw; bores by common practice, your maker's sheet overrides"});
  else
    lines.push_back({fmt::format("{} nut", name), {.count = all}, "computed: one a screw"});
}

/// Adds up all that is cut of each gauge; a wire whose conductors the job does not name stands
/// alone.
void add_wires(std::vector<ShoppingLine>& lines, const HandOff& hand_off) {
  std::map<int, ShoppingLine> by_gauge;
  for (const Channel& channel : hand_off.channels) {
    if (channel.kind == "spar") continue;
    const double cut_mm = cut_length_mm(channel);
    for (const std::string& text : channel.wire.conductors) {
      const Result<Conductors> read = read_conductors(text);
      if (!read) continue;
      ShoppingLine& line = by_gauge[read->gauge];
      line.what = fmt::format("wire, AWG {}", read->gauge);
      line.need.length_mm += read->count * cut_mm;
      line.how += fmt::format("{}{} x {} for {}", line.how.empty() ? "computed: " : ", ",
                              read->count, text::length(cut_mm), channel.name);
    }
    if (channel.wire.conductors.empty())
      lines.push_back({fmt::format("wire for {}, each conductor", channel.name),
                       {.length_mm = cut_mm},
                       "computed: as the harness cuts it; how many conductors is yours"});
  }
  for (auto& [gauge, line] : by_gauge) {
    line.how += "; cut lengths with the slack that the job says";
    lines.push_back(line);
  }
  for (const Channel& channel : hand_off.channels) {
    if (channel.kind == "spar" || !channel.wire.connector_mm) continue;
    lines.push_back(
        {"connector pairs for " + channel.name, {.count = 1}, "computed: as the job asks"});
  }
}

/// What is pressed or glued into the seats.
void add_modules(std::vector<ShoppingLine>& lines, const HandOff& hand_off) {
  std::map<std::string, std::size_t> by_size;
  for (const Pocket& pocket : hand_off.pockets) {
    const Vec3 size = pocket.size_mm;
    ++by_size[pocket.shape == PocketShape::round
                  ? fmt::format("lamp or module for a round seat of {:.1f} mm", size.x)
                  : fmt::format("lamp or module for a seat of {:.1f} x {:.1f} mm", size.x, size.y)];
  }
  for (const auto& [what, count] : by_size)
    lines.push_back({what, {.count = count}, "computed: one a pocket"});
}

void add_rated(std::vector<ShoppingLine>& lines, const std::string& what,
               const ShoppingAmount& need, const std::string& how) {
  if (need.volume_ml + need.mass_g > 0)
    lines.push_back({what, need, "computed from an assumed rate: " + how});
}

/// `times` more of the same.
void add(ShoppingAmount& sum, const ShoppingAmount& more, int times) {
  sum.count += static_cast<std::size_t>(times) * more.count;
  sum.length_mm += times * more.length_mm;
  sum.volume_ml += times * more.volume_ml;
  sum.mass_g += times * more.mass_g;
  sum.spool_g = more.spool_g;
}

std::string quoted(const std::string& field) {
  std::string out = "\"";
  for (const char c : field) out += c == '"' ? "\"\"" : std::string(1, c);
  return out + "\"";
}

/// In words, never less than it is: to the millimetre, from a metre on to the centimetre.
std::string length_to_buy(double mm) {
  const double step_mm = mm >= 1000 ? 10 : 1;
  return text::length(step_mm * std::ceil(mm / step_mm - 1e-9));
}

}  // namespace

double cut_length_mm(const Channel& channel) {
  return 10 * std::ceil((channel.length_mm + 2 * channel.wire.slack_mm) / 10 - 1e-9);
}

std::string ShoppingLine::amount() const {
  if (need.spool_g > 0) {
    const auto spools = static_cast<std::size_t>(std::ceil(need.mass_g / need.spool_g - 1e-9));
    return fmt::format("{}", std::max(need.least_spools, spools));
  }
  if (need.mass_g > 0) return fmt::format("{:.0f} g", std::ceil(need.mass_g));
  if (need.volume_ml > 0) return fmt::format("{:.0f} ml", std::ceil(need.volume_ml));
  return need.length_mm > 0 ? length_to_buy(need.length_mm) : fmt::format("{}", need.count);
}

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
  add_magnets(lines, hand_off);
  add_screws(lines, hand_off);
  add_wires(lines, hand_off);
  add_modules(lines, hand_off);
  const FinishNeeds needs = finish_needs(finish_input(hand_off), hand_off.finish);
  const FinishChoice& finish = hand_off.finish;
  const std::string waste = fmt::format(", {:.0f} % on top", 100 * finish.waste_ratio);
  add_rated(lines, "glue", {.volume_ml = needs.glue_ml},
            fmt::format("area of glued joints times {:.2f} mm{}", finish.glue_mm, waste));
  add_rated(lines, "weld filament", {.mass_g = needs.weld_g},
            fmt::format("shown seam times a V of {:.1f} x {:.1f} mm{}", finish.groove_width_mm,
                        finish.groove_depth_mm, waste));
  add_rated(lines, "filler", {.volume_ml = needs.filler_ml},
            fmt::format("shown seam times a fairing of {:.0f} mm, "
                        "{:.1f} mm deep{}",
                        finish.fairing_mm, finish.fairing_depth_mm, waste));
  add_rated(lines, "primer", {.volume_ml = needs.primer_ml},
            fmt::format("skin that is seen, {} coats of {:.0f} ml/m2{}", finish.primer_coats,
                        finish.primer_ml_per_m2, waste));
  return lines;
}

std::vector<ShoppingLine> join_shopping(std::span<const ShoppingPart> parts,
                                        std::size_t spools_begun) {
  std::vector<ShoppingLine> joined;
  for (const ShoppingPart& part : parts) {
    for (const ShoppingLine& line : part.lines) {
      const std::string how = fmt::format("{} of {}, each: {}", part.count, part.name, line.how);
      const auto known = std::find_if(joined.begin(), joined.end(), [&](const ShoppingLine& other) {
        return other.what == line.what;
      });
      if (known == joined.end()) {
        joined.push_back({line.what, {}, how});
        add(joined.back().need, line.need, part.count);
        joined.back().need.least_spools = spools_begun;
      } else {
        add(known->need, line.need, part.count);
        known->how += "; " + how;
      }
    }
  }
  return joined;
}

std::string shopping_csv(const std::vector<ShoppingLine>& lines) {
  std::string out = "what,amount,how\r\n";
  for (const ShoppingLine& line : lines)
    out += quoted(line.what) + "," + quoted(line.amount()) + "," + quoted(line.how) + "\r\n";
  return out;
}

}  // namespace seamwright
