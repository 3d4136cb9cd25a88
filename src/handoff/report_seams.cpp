#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"

namespace seamwright::report {
namespace {

using Rows = std::vector<std::vector<std::string>>;

/// Whether a piece lies in the half of the seam on this side, told by its path in the tree.
bool is_in_half(const FinishedPiece& piece, SeamId seam, Side side) {
  const std::string path = "/" + piece.planned.cut.id;
  return path.find("/" + seam_name(seam) + (side == Side::above ? "+" : "-")) != std::string::npos;
}
bool is_under(const FinishedPiece& piece, SeamId seam) {
  return is_in_half(piece, seam, Side::above) || is_in_half(piece, seam, Side::below);
}

/// "towards A1 A2": the first pieces of a half.
std::string towards(const HandOff& hand_off, SeamId seam, Side side) {
  constexpr int kMost = 3;
  std::string marks;
  int count = 0;
  for (const FinishedPiece& piece : hand_off.pieces) {
    if (!is_in_half(piece, seam, side)) continue;
    if (++count <= kMost) marks += " " + text::escaped(piece.mark);
  }
  return "towards" + marks + (count > kMost ? " …" : "");
}

/// Whether a box, sides in any order, goes into a printer's usable room: a body that does not can't
/// be printed in one piece upright.
bool fits_upright(Vec3 body, const Printer& printer) {
  const Vec3 room = printer.usable_mm();
  std::array<double, 3> a{body.x, body.y, body.z}, b{room.x, room.y, room.z};
  std::sort(a.begin(), a.end());
  std::sort(b.begin(), b.end());
  return a[0] <= b[0] && a[1] <= b[1] && a[2] <= b[2];
}

/// "towards A1: +0.30 h": what moving the seam would change.
std::string move_words(const std::string& way, const std::optional<double>& hours) {
  if (!hours) return fmt::format("{}: a piece would not fit", way);
  if (std::abs(*hours) < 0.005) return fmt::format("{}: the same", way);
  return fmt::format("{}: {:+.2f} h", way, *hours);
}

std::string seam_reason(const HandOff& hand_off, const Seam& seam, const SeamCost& cost) {
  Box3 body;
  std::size_t count = 0;
  for (const FinishedPiece& piece : hand_off.pieces) {
    if (!is_under(piece, seam.id)) continue;
    ++count;
    body.extend(piece.planned.cut.solid.box().low);
    body.extend(piece.planned.cut.solid.box().high);
  }
  const bool would_fit =
      std::any_of(hand_off.printers.begin(), hand_off.printers.end(),
                  [&](const Printer& printer) { return fits_upright(body.size(), printer); });
  std::string reason = fmt::format("cuts a body of {}{}", text::size(body.size()),
                                   would_fit ? "" : ", more than a printer's room");
  if (seam.is_locked) reason = "set by you; " + reason;
  if (cost.is_preferred) reason = "where you like it; " + reason;
  if (cost.line_mm > 0.05 * (cost.shown_mm + cost.hidden_mm))
    reason +=
        fmt::format("; {} in lines or creases, where it looks meant", text::length(cost.line_mm));
  if (cost.detail_mm > 1) reason += fmt::format("; {} over details", text::length(cost.detail_mm));
  reason += fmt::format("; {} under it", text::counted(count, "piece", "pieces"));
  return reason + "<br><small>moved 10 mm " +
         move_words(towards(hand_off, seam.id, Side::above), cost.forward_h) + "; " +
         move_words(towards(hand_off, seam.id, Side::below), cost.back_h) + "</small>";
}

std::vector<std::string> plan_row(const std::string& name, const OtherPlan& plan) {
  return {name,
          plan.aim,
          fmt::format("{}", plan.pieces),
          text::length(plan.shown_mm),
          text::length(plan.hidden_mm),
          text::duration(plan.print_s),
          text::duration(plan.longest_print_s),
          fmt::format("{:.1f} h", plan.maker_h)};
}

}  // namespace

std::string seams_section(const HandOff& hand_off) {
  if (hand_off.seams.plan.seams.empty())
    return section("seams", "Seams", "<p>None: the part fits as it is.</p>");
  Rows rows;
  for (std::size_t i = 0; i < hand_off.seams.plan.seams.size(); ++i) {
    const Seam& seam = hand_off.seams.plan.seams[i];
    const SeamCost& cost = hand_off.seams.seam_costs.at(i);
    rows.push_back({"<b>" + seam_name(seam.id) + "</b>", text::length(cost.shown_mm),
                    text::length(cost.hidden_mm), fmt::format("{:.1f} h", cost.maker_h),
                    seam_reason(hand_off, seam, cost)});
  }
  const PrintTotals totals = print_totals(hand_off);
  rows.push_back({"<b>all</b>", text::length(totals.shown_mm), text::length(totals.hidden_mm),
                  fmt::format("{:.1f} h", totals.seam_maker_h), ""});
  const std::string caption = fmt::format(
      "Lengths on the skin: computed; seen and hidden by how much of the world outside sees the "
      "skin beside the seam. Hours: those lengths times "
      "{:.3f} h/cm seen and {:.3f} h/cm hidden, your own rates or assumed ones, times {:g} over "
      "details and {:g} in lines and creases. What a "
      "move of 10 mm changes is computed on the same weights, the rest of the plan following, by "
      "the "
      "search's quick judgement of what fits. A minus says cheaper by these hours alone: what "
      "settles "
      "a plan comes after them, the exact fit of every piece and room for the keys of every joint, "
      "and "
      "is not judged for the move; [[lock]] a seam there to try it.",
      hand_off.cost.shown_h_per_cm, hand_off.cost.hidden_h_per_cm, hand_off.cost.detail_ratio,
      hand_off.cost.line_ratio);
  return section("seams", "Seams",
                 table({"Seam", "Seen", "Hidden", "Your hours", "Why"}, rows, caption,
                       {false, true, true, true, false}));
}

std::string other_plans_section(const HandOff& hand_off) {
  if (hand_off.seams.others.empty()) return "";
  Rows rows{plan_row("<b>this one</b>", hand_off.seams.figures)};
  for (std::size_t i = 0; i < hand_off.seams.others.size(); ++i)
    rows.push_back(plan_row(fmt::format("{}", i + 1), hand_off.seams.others[i]));
  const std::string caption =
      "Each was searched with another aim and holds like this one: every piece fits. Print times "
      "are the quick estimate, keys not counted; hours of yours by your own weights. To make one "
      "of them: <code>seamwright split … --seams plan.json --take 1</code>.";
  return section("plans", "Other plans",
                 table({"Plan", "Best at", "Pieces", "Seen", "Hidden", "Printing", "Longest piece",
                        "Your hours"},
                       rows, caption, {false, false, true, true, true, true, true, true}));
}

}  // namespace seamwright::report
