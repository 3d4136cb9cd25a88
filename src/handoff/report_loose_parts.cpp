#include <fmt/format.h>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"
#include "seamwright/handoff/loose_parts.h"

namespace seamwright::report {
namespace {

using Rows = std::vector<std::vector<std::string>>;

std::string straps_table(const HandOff& hand_off) {
  Rows rows;
  for (const LoosePart& part : hand_off.loose_parts) {
    const JointFace& face = hand_off.joints.at(part.joint).face;
    const LoosePrint print = loose_print(hand_off, part);
    rows.push_back({"<b>" + text::escaped(part.mark) + "</b>",
                    key_name(part.kind) + " over " + joint_name(part.joint),
                    pair_chips(hand_off, face), text::length(part.length_mm),
                    text::size(part.size_mm), text::duration(print.print_s),
                    fmt::format("{:.1f} g", print.mass_g),
                    "<code>" + text::escaped(loose_part_file(part)) + "</code>"});
  }
  if (rows.empty()) return "";
  const PrintTotals totals = print_totals(hand_off);
  rows.push_back({"<b>all</b>", "", "", "", "", text::duration(totals.loose_print_s),
                  text::mass(totals.loose_mass_g), ""});
  return table(
      {"Mark", "What", "Pieces", "Length", "Size on the bed", "Time", "Filament", "File"}, rows,
      "Straps follow the hidden skin over their seam with room for glue; each stands on its "
      "long edge, solid, with a brim. Time and filament are laid and driven as the pieces' are, "
      "one "
      "heating up shared by all on a printer, and are in the totals above.",
      {false, false, false, true, false, true, true, false});
}

std::string rods_table(const HandOff& hand_off) {
  Rows rows;
  for (const RodCut& rod : rod_cuts(hand_off.joints)) {
    rows.push_back(
        {std::to_string(rod.count), fmt::format("{:.2f} mm", rod.diameter_mm),
         fmt::format("{:.1f} mm", rod.length_mm),
         rod.diameter_mm < 2 ? "filament, straightened" : "rod or filament of that size"});
  }
  if (rows.empty()) return "";
  return table({"Count", "Diameter", "Length", "From"}, rows,
               "Dowels to cut: both holes' depth less 0.5 mm at each end for glue.",
               {true, true, true, false});
}

std::string strength_row_word(double safety_ratio) {
  if (safety_ratio <= 0) return "–";
  return safety_ratio < 1 ? fmt::format("<b>{:.1f} ×, weak</b>", safety_ratio)
                          : fmt::format("{:.1f} ×", safety_ratio);
}

/// What bears: glue at its worst fibre, or the worst of a flange's screws.
std::string load_word(const JointStrength& s) {
  if (s.stress_mpa > 0) return fmt::format("{:.2f} MPa", s.stress_mpa);
  return s.screw_pull_n > 0 ? fmt::format("{:.0f} N a screw", s.screw_pull_n) : "–";
}

/// What is said of screws, when any joint has them.
std::string screw_basis(const HandOff& hand_off) {
  for (const JointStrength& s : hand_off.strengths) {
    if (s.screw_allowed_n <= 0) continue;
    return fmt::format(
        " A seam that comes apart is held by its screws alone, as a plate that tips over its edge; "
        "allowed is {:.0f} N a screw, by the plastic under its head (13 MPa) and round its insert "
        "({:.1f} MPa): assumptions. Shear counts the threads' stress areas (ISO 898-1, from "
        "memory).",
        s.screw_allowed_n, hand_off.joinery.insert_mpa);
  }
  return "";
}

/// The joints of a seam bear together, so what they bear is said once a seam.
std::string seam_strengths(const HandOff& hand_off) {
  Rows rows;
  for (const Seam& seam : hand_off.seams.plan.seams) {
    const JointStrength* any = nullptr;
    double glued_mm2 = 0;
    std::string joints;
    for (std::size_t j = 0; j < hand_off.strengths.size(); ++j) {
      if (hand_off.joints.at(j).face.seam != seam.id) continue;
      any = &hand_off.strengths[j];
      glued_mm2 += any->glue_area_mm2;
      joints += (joints.empty() ? "" : ", ") + joint_name(j);
    }
    if (any == nullptr) continue;
    rows.push_back({"<b>" + seam_name(seam.id) + "</b>", joints,
                    fmt::format("{:.1f} cm²", glued_mm2 / 100), text::mass(any->held_mass_g),
                    fmt::format("{:.0f} mm", any->lever_mm), load_word(*any),
                    strength_row_word(any->safety_ratio)});
  }
  return table(
      {"Seam", "Its joints together", "Glued", "Hung on it", "Lever", "Stress",
       "Allowed over stress"},
      rows,
      fmt::format(
          "Computed for all joints of a seam together: its lighter side, printed solid, is held "
          "out level and weighs {:.0f} times what it does; the stress is that at the worst fibre. "
          "Hung on it is that load, not what the seam could carry. Allowed on the glue line: "
          "{:.1f} MPa, an assumption; take your glue's sheet.{} An estimate, not a proof.",
          hand_off.joinery.handling_ratio, hand_off.joinery.glue_mpa, screw_basis(hand_off)),
      {false, false, true, true, true, true, true});
}

std::string joint_strengths_table(const HandOff& hand_off) {
  Rows rows;
  for (std::size_t j = 0; j < hand_off.strengths.size(); ++j) {
    const JointStrength& s = hand_off.strengths[j];
    rows.push_back({"<b>" + joint_name(j) + "</b>", seam_name(hand_off.joints.at(j).face.seam),
                    fmt::format("{:.1f} cm²", s.glue_area_mm2 / 100),
                    fmt::format("{:.0f} mm²", s.key_shear_area_mm2),
                    fmt::format("{:.0f} mm³", s.section_modulus_mm3)});
  }
  return table(
      {"Joint", "Seam", "Glued", "Keys in shear", "Section modulus"}, rows,
      "What each joint adds: computed. The section modulus says how well its figure, straps "
      "counted, stands up to bending about its weak axis: second moment of area over the "
      "distance of the farthest fibre.",
      {false, false, true, true, true});
}

}  // namespace

std::string strength_section(const HandOff& hand_off) {
  if (hand_off.strengths.empty()) return "";
  return fmt::format("<section id=\"strength\"><h2>Strength of the seams</h2>\n{}{}</section>\n",
                     seam_strengths(hand_off), joint_strengths_table(hand_off));
}

std::string loose_parts_section(const HandOff& hand_off) {
  const std::string body = straps_table(hand_off) + rods_table(hand_off);
  if (body.empty()) return "";
  return fmt::format("<section id=\"loose\"><h2>Loose parts of the joints</h2>\n{}</section>\n",
                     body);
}

}  // namespace seamwright::report
