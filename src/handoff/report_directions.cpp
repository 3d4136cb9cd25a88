#include <fmt/format.h>

#include <cmath>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"

namespace seamwright::report {
namespace {

using Rows = std::vector<std::vector<std::string>>;

std::string foot_words(const Pose& pose) {
  switch (pose.foot) {
    case Foot::joint_face:
      return pose.foot_seam ? "joint face of " + seam_name(*pose.foot_seam) : "joint face";
    case Foot::flat_side:
      return "flat side";
    case Foot::supports:
      return "on supports";
    case Foot::tilted:
      return "tilted, on supports";
  }
  throw std::logic_error("broken contract: no such Foot");
}

std::string hours_cell(double hours) {
  return hours < 0.005 ? "–" : fmt::format("{:.2f}", hours);
}

/// To two digits, without a minus before zero.
double rounded(double value) {
  return std::round(100 * value) / 100 + 0.0;
}

std::vector<std::string> row(const Direction& d, const std::string& mark, bool is_chosen) {
  const Vec3 down_rounded{rounded(d.down.x), rounded(d.down.y), rounded(d.down.z)};
  const std::string down =
      fmt::format("{:.2f}, {:.2f}, {:.2f}", down_rounded.x, down_rounded.y, down_rounded.z);
  return {mark,
          foot_words(d.pose) + (is_chosen ? " <b>chosen</b>" : ""),
          down,
          text::duration(d.print_s),
          hours_cell(d.hours.printing_h),
          hours_cell(d.hours.support_h + d.hours.scars_h),
          hours_cell(d.hours.steps_h),
          hours_cell(d.hours.weakness_h),
          hours_cell(d.hours.warping_h + d.hours.tipping_h),
          fmt::format("<b>{:.2f}</b>", d.hours.total_h())};
}

}  // namespace

std::string directions_section(const HandOff& hand_off) {
  Rows rows;
  for (std::size_t i = 0; i < hand_off.directions.size(); ++i) {
    const PieceDirections& piece = hand_off.directions[i];
    for (std::size_t k = 0; k < piece.ranked.size(); ++k) {
      std::string mark = k == 0 ? mark_chip(hand_off, i) : std::string();
      if (k == 0 && piece.is_fixed) mark += " set by you";
      rows.push_back(row(piece.ranked[k], mark, k == 0));
    }
  }
  if (rows.empty()) return "";
  const std::string caption =
      "Hours of your own work by your rates or assumed ones ([cost] in the job file): minding the "
      "print and failures, taking support off and sanding its marks on seen skin, stair-steps on "
      "seen skin, joints pulled across the layers, a foot that warps or tips. Print times before "
      "keys; where two or three ways were near each other, all of them were laid in full. To make "
      "a piece stand another way, put <code>[[stand]] piece = \"A1\" down = [0, 0, -1]</code> into "
      "the job file.";
  return "<section id=\"directions\"><h2>Why each piece stands as it does</h2>\n" +
         table({"Piece", "Stands on", "Down, in the part", "Prints", "Minding", "Support", "Steps",
                "Strength", "Warp, tip", "Hours"},
               rows, caption, {false, false, false, true, true, true, true, true, true, true}) +
         "</section>\n";
}

}  // namespace seamwright::report
