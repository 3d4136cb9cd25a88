#include "app/summary.h"

#include <fmt/format.h>

#include <map>
#include <ostream>

namespace seamwright::app {
namespace {

std::string hours(double seconds) {
  const long minutes = std::lround(seconds / 60);
  return fmt::format("{}:{:02} h", minutes / 60, minutes % 60);
}

std::string foot_words(const Pose& pose) {
  switch (pose.foot) {
    case Foot::joint_face:
      return "on a joint face";
    case Foot::flat_side:
      return "on a flat side";
    case Foot::supports:
      return "on supports";
    case Foot::tilted:
      return "tilted, on supports";
  }
  return "";
}

void print_pieces(std::ostream& out, const HandOff& hand_off) {
  out << fmt::format("  {:<6}{:>20}{:>12}{:>12}{:>10}  {}\n", "piece", "size mm", "slow", "fast",
                     "grams", "stands");
  for (const FinishedPiece& piece : hand_off.pieces) {
    const Vec3 size = piece.planned.pose.size_mm;
    out << fmt::format("  {:<6}{:>20}{:>12}{:>12}{:>10.0f}  {}\n", piece.mark,
                       fmt::format("{:.0f} x {:.0f} x {:.0f}", size.x, size.y, size.z),
                       hours(piece.print.print_s), hours(piece.fast_print.print_s),
                       piece.print.mass_g, foot_words(piece.planned.pose));
  }
}

/// At most three of a kind, then how many more: the report has them all.
void print_warnings(std::ostream& out, const HandOff& hand_off) {
  constexpr int kMostOfAKind = 3;
  std::map<std::string, int> told;
  for (const Warning& warning : hand_off.warnings) {
    if (warning.code == "part-size") continue;  // it is the first line already
    if (told.empty()) out << '\n';
    if (++told[warning.code] <= kMostOfAKind) out << fmt::format("! {}\n", warning.message);
  }
  for (const auto& [code, count] : told) {
    if (count <= kMostOfAKind) continue;
    out << fmt::format("! and {} more of the kind {}: see the report\n", count - kMostOfAKind,
                       code);
  }
}

}  // namespace

void print_summary(std::ostream& out, const HandOff& hand_off,
                   const std::filesystem::path& folder) {
  double slow_s = 0, fast_s = 0, mass_g = 0, shown_mm = 0, hidden_mm = 0;
  for (const FinishedPiece& piece : hand_off.pieces) {
    slow_s += piece.print.print_s;
    fast_s += piece.fast_print.print_s;
    mass_g += piece.print.mass_g;
  }
  for (const SeamCost& seam : hand_off.seams.seam_costs) {
    shown_mm += seam.shown_mm;
    hidden_mm += seam.hidden_mm;
  }
  std::size_t keys = 0;
  for (const Joint& joint : hand_off.joints) keys += joint.keys.size();
  out << hand_off.part.unit.message << "\n\n";
  out << fmt::format("{} piece{}; no plan has fewer than {} ({}).\n", hand_off.pieces.size(),
                     hand_off.pieces.size() == 1 ? "" : "s", hand_off.seams.piece_lower_bound,
                     hand_off.seams.bound_reason);
  out << fmt::format("{:.0f} cm of seam shown, {:.0f} cm hidden, {} joints, {} keys.\n",
                     shown_mm / 10, hidden_mm / 10, hand_off.joints.size(), keys);
  out << fmt::format(
      "Printing {} on a slow machine, {} on a fast one, {:.0f} g of {}. About {:.1f} h of your own "
      "work.\n\n",
      hours(slow_s), hours(fast_s), mass_g, hand_off.material.name, hand_off.seams.maker_h);
  print_pieces(out, hand_off);
  print_warnings(out, hand_off);
  out << fmt::format(
      "\nAll times and weights are computed from assumed settings until you record a "
      "print.\nReport: {}\n",
      (folder / "report.html").string());
}

}  // namespace seamwright::app
