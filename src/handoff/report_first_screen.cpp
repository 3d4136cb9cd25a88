#include <fmt/format.h>

#include "handoff/report_sections.h"
#include "handoff/report_text.h"

namespace seamwright::report {
namespace {

/// The piece to print first: of the two that are joined first the quicker one, so that a first fit
/// can be tried soonest.
std::size_t starting_piece(const HandOff& hand_off) {
  if (hand_off.assembly.empty()) return 0;
  const JointFace& face = hand_off.joints.at(hand_off.assembly[0]).face;
  const std::size_t a = to_index(face.above), b = to_index(face.below);
  return hand_off.pieces.at(b).print.print_s < hand_off.pieces.at(a).print.print_s ? b : a;
}

std::string start_reason(const HandOff& hand_off, std::size_t start) {
  if (hand_off.assembly.empty()) return "the only piece";
  const JointFace& face = hand_off.joints.at(hand_off.assembly[0]).face;
  const std::size_t other =
      to_index(face.above) == start ? to_index(face.below) : to_index(face.above);
  return fmt::format(
      "then {}: these two are joined first, so you know soonest whether the fit is right",
      mark_chip(hand_off, other));
}

std::string fact(const std::string& label, const std::string& value, const std::string& note) {
  return fmt::format(
      "<div class=\"fact\"><dt>{}</dt><dd><strong>{}</strong><span>{}</span></dd></div>\n", label,
      value, note);
}

std::size_t spool_count(const HandOff& hand_off, double mass_g) {
  return static_cast<std::size_t>(std::ceil(mass_g / hand_off.material.spool_g - 1e-9));
}

std::string days_text(double seconds) {
  const double days = seconds / 86400;
  return days >= 9.95 ? fmt::format("{:.0f}", days) : fmt::format("{:.1f}", days);
}

std::size_t used_printers(const HandOff& hand_off) {
  std::vector<bool> used(hand_off.printers.size(), false);
  for (const FinishedPiece& piece : hand_off.pieces) used.at(piece.planned.printer) = true;
  return static_cast<std::size_t>(std::count(used.begin(), used.end(), true));
}

std::string printing_note(const HandOff& hand_off, const PrintTotals& totals) {
  const bool has_fast = totals.fast_print_s > 0;
  return fmt::format(
             "{} in all{}{}", text::duration(totals.print_s),
             has_fast ? fmt::format(" ({} on a fast machine)", text::duration(totals.fast_print_s))
                      : "",
             used_printers(hand_off) > 1 ? ", shared between your printers" : "") +
         fmt::format(", ± {:.0f} %", 100 * totals.time_band_ratio) +
         tag(totals.is_recorded ? "fitted to your finished prints"
                                : "computed from assumed speeds");
}

/// "How long", "Filament" and "Start with" as the calendar has them.
std::string planned_facts(const HandOff& hand_off, const PrintTotals& totals) {
  const DayPlan& plan = *hand_off.days;
  const auto days = static_cast<std::size_t>(day_count(plan));
  // Each printer begins its own spool, so more may be begun than the mass alone asks for.
  std::size_t spools = spool_count(hand_off, totals.mass_g + plan.calendar.reserve_g), begun = 0;
  for (const std::size_t count : plan.calendar.spool_count) begun += count;
  spools = std::max(spools, begun);
  const Load& first = plan.loads.at(plan.calendar.entries.front().load);
  const std::string late = plan.late_min() > 0 ? " <b>The deadline is missed: see Days.</b>"
                           : plan.deadline_min ? " In time for your deadline."
                                               : "";
  return fact("How long", text::counted(days, "day", "days"),
              fmt::format("done {} in {}; {} of printing, reserve for failures kept.{}",
                          minute_words(plan, plan.calendar.done_with_reserve_min),
                          text::counted(plan.loads.size(), "load", "loads"),
                          text::duration(totals.print_s), late) +
                  tag("computed from your hours or assumed ones")) +
         fact("Filament", text::counted(spools, "spool", "spools"),
              fmt::format("{} of {} and {:.0f} g in reserve, {:.0f} g to a spool",
                          text::mass(totals.mass_g), text::escaped(hand_off.material.name),
                          plan.calendar.reserve_g, hand_off.material.spool_g) +
                  tag("computed")) +
         fact("Start with", load_chips(hand_off, first),
              fmt::format("{}: {}", minute_words(plan, plan.calendar.entries.front().swap_min),
                          first.is_trial
                              ? "joined first, so you know soonest whether the fit is right"
                              : "the first load of the calendar"));
}

/// Without a calendar: sums only.
std::string unplanned_facts(const HandOff& hand_off, const PrintTotals& totals) {
  const std::size_t spools = spool_count(hand_off, totals.mass_g), start = starting_piece(hand_off);
  return fact("How long", "about " + days_text(totals.busiest_print_s) + " print days",
              printing_note(hand_off, totals)) +
         fact("Filament", text::counted(spools, "spool", "spools"),
              fmt::format("{} of {}, {:.0f} g to a spool, nothing added for prints that fail",
                          text::mass(totals.mass_g), text::escaped(hand_off.material.name),
                          hand_off.material.spool_g) +
                  tag("computed")) +
         fact("Start with", mark_chip(hand_off, start), start_reason(hand_off, start));
}

std::string facts(const HandOff& hand_off) {
  const PrintTotals totals = print_totals(hand_off);
  const std::size_t bound = hand_off.seams.piece_lower_bound, count = hand_off.pieces.size();
  const std::string least =
      count == bound ? "no plan has fewer" : fmt::format("no plan can have fewer than {}", bound);
  return "<dl class=\"facts\">" +
         fact("To print", text::counted(count, "piece", "pieces"), least + tag("computed")) +
         (hand_off.days ? planned_facts(hand_off, totals) : unplanned_facts(hand_off, totals)) +
         fact("Your own work", "about " + text::hours(hand_off.seams.maker_h) + " h",
              fmt::format("seams {} seen, {} hidden; handling, supports and failed prints counted",
                          text::length(totals.shown_mm), text::length(totals.hidden_mm)) +
                  tag("from your rates")) +
         "</dl>\n" +
         (hand_off.days
              ? ""
              : "<p class=\"basis\">A print day is 24 hours of one printer running without a "
                "pause. Swapping pieces, nights that nobody watches and prints that fail come "
                "on top.</p>");
}

std::string bed_card(const HandOff& hand_off, const ShownPicture& picture, std::size_t i) {
  const FinishedPiece& piece = hand_off.pieces[i];
  const std::string description = fmt::format("Piece {} standing on the bed of {}", piece.mark,
                                              hand_off.printers.at(piece.planned.printer).name);
  return fmt::format("<div class=\"bed\">{}<p>{}<span>{}<br>{}</span></p></div>\n",
                     figure(picture, hand_off, description, ""), mark_chip(hand_off, i),
                     text::duration(piece.print.print_s), text::mass(piece.print.mass_g));
}

std::string fitting_order(const HandOff& hand_off) {
  if (hand_off.assembly.empty()) return "";
  std::string items;
  for (const FittingStep& step : fitting_steps(hand_off)) {
    items +=
        fmt::format("<li>{} <small>to</small> {} <small class=\"seam\">{}</small></li>\n",
                    chips(hand_off, step.above), chips(hand_off, step.below), seam_name(step.seam));
  }
  return "<section class=\"order\"><h2>Test-fit in this order, dry, before any glue</h2><ol>" +
         items + "</ol></section>\n";
}

/// The unit's message without the size that the heading has said already.
std::string unit_text(const std::string& message) {
  const std::size_t end =
      message.starts_with("FINISHED SIZE") ? message.find(". ") : std::string::npos;
  return text::escaped(end == std::string::npos ? message : message.substr(end + 2));
}

std::string worn_text(const PartFacts& part) {
  if (part.worn_side.empty()) return "The worn side is not known; the picture looks at the front.";
  if (part.worn_side.starts_with("around") || part.worn_side.starts_with("against"))
    return fmt::format("Worn {}, as you said.", text::escaped(part.worn_side));
  return fmt::format("Seen from the show side; the side that is not seen is {}, as you said.",
                     text::escaped(part.worn_side));
}

}  // namespace

std::string first_screen(const HandOff& hand_off, const HandOffPictures& pictures) {
  const PartFacts& part = hand_off.part;
  std::string html = fmt::format(
      "<header><p class=\"over\">Hand-off</p><h1>{}</h1><p class=\"sub\">Finished size <b>{}</b>. "
      "{}</p></header>\n",
      text::escaped(part.file), text::size(part.size_mm), unit_text(part.unit.message));
  if (!hand_off.is_complete) {
    html +=
        "<p class=\"notice\">The search was stopped early. This is the best plan it had found; a "
        "longer run may find a better one.</p>\n";
  }
  html += "<section class=\"hero\">" +
          figure(pictures.assembled, hand_off, "The part put together, its seams drawn dark",
                 worn_text(part)) +
          "<div>" + facts(hand_off) +
          "</div></section>\n<section class=\"beds\"><h2>Each piece as it stands on its "
          "bed</h2><div class=\"row\">";
  for (std::size_t i = 0; i < hand_off.pieces.size(); ++i)
    html += bed_card(hand_off, pictures.pieces.at(i), i);
  return html + "</div></section>\n" + fitting_order(hand_off);
}

}  // namespace seamwright::report
