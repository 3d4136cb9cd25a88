#include "app/summary.h"

#include <fmt/format.h>

#include <map>
#include <ostream>

#include "seamwright/core/time_words.h"
#include "seamwright/days/chart.h"

namespace seamwright::app {
namespace {

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

/// The time on a fast machine, or the band where prints are on record.
std::string second_column(const HandOff& hand_off, const FinishedPiece& piece) {
  const PrinterFit fit = fit_of(hand_off, piece.planned.printer);
  return fit.is_recorded() ? fmt::format("± {:.0f} %", 100 * fit.time_band_ratio)
                           : clock_hours(piece.fast_print.print_s);
}

void print_pieces(std::ostream& out, const HandOff& hand_off) {
  const bool is_recorded = print_totals(hand_off).is_recorded;
  out << fmt::format("  {:<6}{:>20}{:>12}{:>12}{:>10}  {}\n", "piece", "size mm",
                     is_recorded ? "time" : "slow", is_recorded ? "±" : "fast", "grams", "stands");
  for (const FinishedPiece& piece : hand_off.pieces) {
    const Vec3 size = piece.planned.pose.size_mm;
    out << fmt::format("  {:<6}{:>20}{:>12}{:>12}{:>10.0f}  {}\n", piece.mark,
                       fmt::format("{:.0f} x {:.0f} x {:.0f}", size.x, size.y, size.z),
                       clock_hours(piece.print.print_s), second_column(hand_off, piece),
                       piece.print.mass_g, piece.is_done ? "done" : foot_words(piece.planned.pose));
  }
  const PrintTotals totals = print_totals(hand_off);
  if (totals.loose_print_s == 0) return;
  double fast_print_s = 0;
  for (const auto* prints : {&hand_off.loose_prints, &hand_off.lid_prints})
    for (const LoosePrint& loose : *prints) fast_print_s += loose.fast_print_s;
  out << fmt::format("  {:<26}{:>12}{:>12}{:>10.0f}  loose_parts.csv\n", "straps and lids",
                     clock_hours(totals.loose_print_s),
                     is_recorded ? std::string() : clock_hours(fast_print_s), totals.loose_mass_g);
}

std::string printing_words(const HandOff& hand_off, const PrintTotals& totals) {
  if (totals.is_recorded) {
    return fmt::format("Printing {} ± {:.0f} %, {:.0f} g ± {:.0f} % of {}, fitted to your prints.",
                       clock_hours(totals.print_s), 100 * totals.time_band_ratio, totals.mass_g,
                       100 * totals.mass_band_ratio, hand_off.material.name);
  }
  return fmt::format(
      "Printing {} on a slow machine, {} on a fast one, {:.0f} g of {}, all ± {:.0f} %.",
      clock_hours(totals.print_s), clock_hours(totals.fast_print_s), totals.mass_g,
      hand_off.material.name, 100 * totals.time_band_ratio);
}

/// The plans with other aims, to choose from.
void print_other_plans(std::ostream& out, const PlannedSeams& seams) {
  if (seams.others.empty()) return;
  out << fmt::format("\n  {:<6}{:>8}{:>10}{:>12}{:>14}{:>12}  {}\n", "plan", "pieces", "seen",
                     "printing", "longest piece", "your hours", "best at");
  const auto row = [&](const std::string& name, const OtherPlan& plan) {
    out << fmt::format("  {:<6}{:>8}{:>7.0f} cm{:>12}{:>14}{:>10.1f} h  {}\n", name, plan.pieces,
                       plan.shown_mm / 10, clock_hours(plan.print_s),
                       clock_hours(plan.longest_print_s), plan.maker_h, plan.aim);
  };
  row("this", seams.figures);
  for (std::size_t i = 0; i < seams.others.size(); ++i) row(std::to_string(i + 1), seams.others[i]);
  out << "  To make one of them: the same command with --seams FOLDER/plan.json --take 1\n";
}

/// When all is printed, and whether that is in time.
void print_days(std::ostream& out, const HandOff& hand_off) {
  if (!hand_off.days) return;
  out << '\n';
  for (const std::string& sentence : calendar_sentences(*hand_off.days)) out << sentence << '\n';
}

/// At most three of a kind, then how many more: the report has them all.
void print_warnings(std::ostream& out, const HandOff& hand_off) {
  constexpr int kMostOfAKind = 3;
  std::map<std::string, int> all, told;
  for (const Warning& warning : hand_off.warnings) ++all[warning.code];
  for (const Warning& warning : hand_off.warnings) {
    if (warning.code == "part-size") continue;  // it is the first line already
    if (told.empty()) out << '\n';
    const int count = ++told[warning.code], more = all[warning.code] - kMostOfAKind;
    if (count <= kMostOfAKind) out << fmt::format("! {}\n", warning.message);
    if (count == kMostOfAKind && more > 0)
      out << fmt::format("! and {} more of this kind: see the report\n", more);
  }
}

}  // namespace

void print_summary(std::ostream& out, const HandOff& hand_off, const std::filesystem::path& folder,
                   bool is_whole_build) {
  const PrintTotals totals = print_totals(hand_off);
  double shown_mm = 0, hidden_mm = 0;
  for (const SeamCost& seam : hand_off.seams.seam_costs) {
    shown_mm += seam.shown_mm;
    hidden_mm += seam.hidden_mm;
  }
  std::size_t keys = 0;
  for (const Joint& joint : hand_off.joints) keys += joint.keys.size();
  out << hand_off.part.unit.message << "\n\n";
  const std::size_t least = hand_off.seams.piece_lower_bound;
  if (hand_off.pieces.size() == 1) {
    out << "1 piece: the part fits as it is.\n";
  } else {
    out << fmt::format("{} pieces", hand_off.pieces.size())
        << (least > 1 ? fmt::format("; no plan has fewer than {}: {}.\n", least,
                                    hand_off.seams.bound_reason)
                      : std::string(".\n"));
    out << fmt::format("{:.0f} cm of seam shown, {:.0f} cm hidden, {} joint{}, {} key{}.\n",
                       shown_mm / 10, hidden_mm / 10, hand_off.joints.size(),
                       hand_off.joints.size() == 1 ? "" : "s", keys, keys == 1 ? "" : "s");
  }
  out << printing_words(hand_off, totals)
      << fmt::format(" About {:.1f} h of your own work.\n\n", hand_off.seams.maker_h);
  print_pieces(out, hand_off);
  print_other_plans(out, hand_off.seams);
  if (is_whole_build) print_days(out, hand_off);
  print_warnings(out, hand_off);
  out << (totals.is_recorded
              ? "\nTimes and weights are fitted to your finished prints; record more to narrow "
                "the band.\n"
              : "\nAll times and weights are computed from assumed settings until you record a "
                "print:\nseamwright record PIECE --time 3h42m --mass 118\n")
      << fmt::format("Report: {}\n", (folder / "report.html").string());
}

}  // namespace seamwright::app
