#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "handoff/assembly_drawings.h"
#include "handoff/printed_on.h"
#include "handoff/report_sections.h"
#include "handoff/report_text.h"
#include "seamwright/handoff/corner_pads.h"
#include "seamwright/joints/inserts.h"
#include "seamwright/mesh/mend.h"

namespace seamwright::report {
namespace {

using Rows = std::vector<std::vector<std::string>>;

std::string foot_text(const Pose& pose) {
  switch (pose.foot) {
    case Foot::joint_face:
      return pose.foot_seam ? "on its joint face of " + seam_name(*pose.foot_seam)
                            : "on a joint face";
    case Foot::flat_side:
      return "on a flat side";
    case Foot::supports:
      return "on supports";
    case Foot::tilted:
      return "tilted, on supports";
  }
  throw std::logic_error("broken contract: no such Foot");
}

std::string pads_text(const FinishedPiece& piece) {
  if (piece.pads.empty()) return "";
  return fmt::format(", with {} corner pad{} to cut off: <code>{}</code>, loaded together with it",
                     piece.pads.size(), piece.pads.size() == 1 ? "" : "s",
                     text::escaped(pads_file(piece)));
}

std::string screw_counts(const HandOff& hand_off, const Joint& joint, const Key& screw,
                         std::size_t count) {
  const std::string holder = screw.holder ? mark_chip(hand_off, to_index(*screw.holder)) : "";
  const InsertThread thread = hand_off.joinery.insert;
  const InsertSize size = insert_size(thread);
  const bool has_inserts = thread != InsertThread::none;
  const std::string_view name = name_of(has_inserts ? thread : InsertThread::m3);
  return fmt::format("flange, {} {} × {:.0f} through holes of ⌀ {:.1f} mm in {}", count,
                     std::string(name) + (count == 1 ? " screw" : " screws"), screw.length_mm,
                     screw.diameter_mm,
                     has_inserts ? mark_chip(hand_off, to_index(screw.holder == joint.face.above
                                                                    ? joint.face.below
                                                                    : joint.face.above))
                                 : "both") +
         (has_inserts ? fmt::format(", heat-set inserts in bores of ⌀ {:.1f} × {:.1f} mm in {}",
                                    size.bore_mm, size.depth_mm(), holder)
                      : " to nuts on " + holder);
}

/// A tongue has no diameter: how thick, how long, how deep, and what is left beside it.
std::string tongue_counts(const Joint& joint, const Key& first, std::size_t count) {
  double length_mm = 0, thinnest_mm = first.diameter_mm, thickest_mm = first.diameter_mm;
  for (const Key& key : joint.keys) {
    if (key.kind != KeyKind::tongue) continue;
    length_mm += key.length_mm;
    thinnest_mm = std::min(thinnest_mm, key.diameter_mm);
    thickest_mm = std::max(thickest_mm, key.diameter_mm);
  }
  const std::string thick = thickest_mm - thinnest_mm < 0.05
                                ? fmt::format("{:.1f}", thickest_mm)
                                : fmt::format("{:.1f} to {:.1f}", thinnest_mm, thickest_mm);
  return fmt::format(
      "{}, {} mm thick, {}{} long, {:.1f} mm deep{}", text::counted(count, "tongue", "tongues"),
      thick, text::length(length_mm), count > 1 ? " in all" : "", first.depth_mm,
      first.lip_mm > 0 ? fmt::format(", lips of {:.1f} mm or more beside it", first.lip_mm) : "");
}

std::string key_counts(const HandOff& hand_off, const Joint& joint) {
  std::string text;
  for (const KeyKind kind : {KeyKind::dowel, KeyKind::pin, KeyKind::tongue, KeyKind::lap,
                             KeyKind::magnet, KeyKind::flange, KeyKind::strap}) {
    const auto is_kind = [&](const Key& key) { return key.kind == kind; };
    const auto first = std::find_if(joint.keys.begin(), joint.keys.end(), is_kind);
    if (first == joint.keys.end()) continue;
    const auto count =
        static_cast<std::size_t>(std::count_if(joint.keys.begin(), joint.keys.end(), is_kind));
    if (kind == KeyKind::strap) {
      double length = 0;
      for (const Key& key : joint.keys) length += key.kind == KeyKind::strap ? key.length_mm : 0;
      text += fmt::format("{}{} {}, {} in all, {:.0f} × {:.1f} mm", text.empty() ? "" : "; ", count,
                          count == 1 ? "strap" : "straps", text::length(length), first->diameter_mm,
                          first->depth_mm);
      continue;
    }
    if (kind == KeyKind::lap) {
      text += fmt::format("step lap on the hidden side, {} along the seam, {:.0f} mm over it",
                          text::length(first->length_mm), first->depth_mm);
      continue;
    }
    if (kind == KeyKind::tongue) {
      text += (text.empty() ? "" : "; ") + tongue_counts(joint, *first, count);
      continue;
    }
    if (kind == KeyKind::flange) {
      text += (text.empty() ? "" : "; ") + screw_counts(hand_off, joint, *first, count);
      continue;
    }
    text +=
        fmt::format("{}{} {}, ⌀ {:.2f} mm, {:.1f} mm deep", text.empty() ? "" : "; ", count,
                    key_name(kind) + (count == 1 ? "" : "s"), first->diameter_mm, first->depth_mm);
  }
  return text.empty() ? "none: butt joint" : text;
}

std::string clearances(const Joint& joint) {
  return joint.keys.empty() ? "–" : fmt::format("{:.2f} mm", joint.keys.front().clearance_mm);
}

std::string flange_step(const HandOff& hand_off) {
  if (hand_off.joinery.insert == InsertThread::none)
    return "Leave dry: screw it together with M3 screws and nuts; it comes apart to travel.";
  return fmt::format(
      "Leave dry: melt the {0} inserts in flush from the joint face, then drive {0} screws from "
      "the "
      "hidden side; it comes apart to travel. Hot metal burns and the plastic fumes: ventilate, "
      "mind your fingers.",
      name_of(hand_off.joinery.insert));
}

/// Which strap goes where, told by where its middle comes.
std::string straps_step(const HandOff& hand_off, std::size_t index) {
  std::string places;
  for (const LoosePart& part : hand_off.loose_parts) {
    if (part.joint != index) continue;
    places += fmt::format("{}<b>{}</b> at ({:.0f}, {:.0f}, {:.0f})", places.empty() ? "" : ", ",
                          text::escaped(part.mark), part.at.x, part.at.y, part.at.z);
  }
  if (places.empty()) return "";
  return " Straps go over the seam on the side that nobody sees: " + places +
         " mm in the part, each one's middle.";
}

std::string joint_step(const HandOff& hand_off, std::size_t index) {
  const Joint& joint = hand_off.joints.at(index);
  return fmt::format(
      "<li>{} {}: {}. {}{}</li>\n", joint_name(index), pair_chips(hand_off, joint.face),
      joint.keys.empty() ? "no keys; align by the skin" : key_counts(hand_off, joint),
      joint.is_glued ? "Glue, hold, let it set."
      : joint.kind == KeyKind::flange
          ? flange_step(hand_off)
          : "Leave dry: it comes apart to travel. Glue rods into one side only, and magnets "
            "so that they attract: where a dimple stands beside a seat, north faces you.",
      straps_step(hand_off, index));
}

/// Warnings of one kind; more than three fold under the first.
std::string warning_group(const std::vector<const Warning*>& group) {
  std::string items;
  for (const Warning* warning : group)
    items += "<li>" + text::escaped(warning->message) + "</li>\n";
  if (group.size() <= 3) return items;
  return fmt::format(
      "<li>{} <details><summary>all {} of this kind</summary><ul>{}</ul></details></li>\n",
      text::escaped(group[0]->message), group.size(), items);
}

/// The joint worth trying first: the one that is asked most of.
std::size_t sample_joint(const HandOff& hand_off) {
  std::size_t weakest = 0;
  for (std::size_t j = 1; j < hand_off.strengths.size(); ++j)
    if (hand_off.strengths[j].safety_ratio < hand_off.strengths[weakest].safety_ratio) weakest = j;
  return weakest;
}

bool has_screws(const HandOff& hand_off) {
  return std::any_of(hand_off.joints.begin(), hand_off.joints.end(), [](const Joint& joint) {
    return std::any_of(joint.keys.begin(), joint.keys.end(),
                       [](const Key& key) { return key.kind == KeyKind::flange; });
  });
}

}  // namespace

std::string screw_holes_note(const HandOff& hand_off) {
  if (!has_screws(hand_off)) return "";
  const bool has_inserts = hand_off.joinery.insert != InsertThread::none;
  const InsertSize size = insert_size(hand_off.joinery.insert);
  const std::string bores =
      has_inserts ? fmt::format(", and inserts' bores, ⌀ {:.1f} mm,", size.bore_mm) : ",";
  return fmt::format(
      " Screws' holes, ⌀ {:.1f} mm{} stay round even where they are printed lying: so narrow a "
      "hole "
      "bridges without support, and {} (common practice, no source).",
      size.screw_mm, bores,
      has_inserts ? "an insert holds best where plastic is all round it"
                  : "a round one centres its screw");
}

std::string section(const std::string& id, const std::string& heading, const std::string& body) {
  return fmt::format("<section id=\"{}\"><h2>{}</h2>\n{}</section>\n", id, heading, body);
}

std::string pieces_section(const HandOff& hand_off) {
  Rows rows;
  for (std::size_t i = 0; i < hand_off.pieces.size(); ++i) {
    const FinishedPiece& piece = hand_off.pieces[i];
    const bool has_fast = piece.fast_print.print_s > 0;
    const PrintedOn there = printed_on(hand_off, piece);
    rows.push_back(
        {mark_chip(hand_off, i), text::size(piece.planned.pose.size_mm),
         text::escaped(hand_off.printers.at(there.printer).name),
         piece.is_done ? "printed already" : foot_text(piece.planned.pose) + pads_text(piece),
         fmt::format("{} ± {:.0f} %", text::duration(there.print_s),
                     100 * fit_of(hand_off, there.printer).time_band_ratio),
         has_fast ? text::duration(piece.fast_print.print_s) : "–", text::mass(piece.print.mass_g),
         piece.print.support_g < 0.05 ? "none" : fmt::format("{:.1f} g", piece.print.support_g),
         "<code>" + text::escaped(piece.file) + "</code>"});
  }
  const PrintTotals totals = print_totals(hand_off);
  const bool is_recorded = totals.is_recorded;
  const std::string caption =
      (totals.loose_print_s > 0
           ? fmt::format("Straps and lids, {} and {} more, have a table of their own: Loose parts "
                         "of the joints. ",
                         text::duration(totals.loose_print_s), text::mass(totals.loose_mass_g))
           : std::string()) +
      std::string(hand_off.days ? "Printer: the one of the calendar, see Days. " : "") +
      "Sizes as they stand on the bed, keys on: computed. Time and filament: every line of every "
      "layer is laid and driven through the "
      "motion of your printer" +
      (is_recorded ? ", and fitted to its finished prints on record; nine of ten should "
                     "lie within the band."
                   : " and, until finished prints are recorded, of a fast one: the "
                     "machines' figures are assumed, and the band with them.");
  return section("pieces", "Pieces",
                 table({"Mark", "Size on the bed", "Printer", "Stands", "Time", "Fast machine",
                        "Filament", "of it support", "File"},
                       rows, caption, {false, false, false, false, true, true, true, true, false}));
}

std::string joints_section(const HandOff& hand_off) {
  if (hand_off.joints.empty()) return "";
  Rows rows;
  for (std::size_t i = 0; i < hand_off.joints.size(); ++i) {
    const Joint& joint = hand_off.joints[i];
    rows.push_back(
        {"<b>" + joint_name(i) + "</b>", pair_chips(hand_off, joint.face),
         seam_name(joint.face.seam), fmt::format("{:.1f} cm²", joint.face.area_mm2 / 100),
         key_counts(hand_off, joint), clearances(joint), joint.is_glued ? "glued" : "comes apart"});
  }
  const std::string caption = std::string(
                                  "Areas and places of keys: computed; walls kept to the skin and "
                                  "to other keys are checked. "
                                  "Clearances are per side and assumed until you "
                                  "have printed the gauge piece.") +
                              screw_holes_note(hand_off);
  return section("joints", "Joints and keys",
                 table({"Joint", "Pieces", "Seam", "Area", "Keys", "Clearance", ""}, rows, caption,
                       {false, false, false, true, false, true, false}));
}

std::string assembly_section(const HandOff& hand_off, const Run& run) {
  if (hand_off.assembly.empty()) return "";
  std::string steps;
  for (const FittingStep& step : fitting_steps(hand_off)) {
    std::string joints = channels_at_seam(hand_off, step.seam);
    for (const std::size_t index : step.joints) joints += joint_step(hand_off, index);
    steps += fmt::format(
        "<li><b>{}</b>: {} to {}<ul>{}</ul><figure class=\"drawing\">{}</figure></li>\n",
        seam_name(step.seam), chips(hand_off, step.above), chips(hand_off, step.below), joints,
        step_drawing(hand_off, step, run));
  }
  return section(
      "assembly", "Putting it together",
      "<p>The order of cutting, backwards, so that every joint still closes along its own "
      "direction. Fit all of it dry once. Holes are "
      "sized to be a little loose; ream or sand rather than force.</p>" +
          fmt::format("<p>First in the print order: a sample of {0}, 30 mm of both its halves. "
                      "<code>seamwright sample {0}</code> in this folder cuts it.</p>",
                      joint_name(sample_joint(hand_off))) +
          "<ol class=\"steps\">" + steps + lights_step(hand_off) + "</ol>");
}

std::string warnings_section(const HandOff& hand_off) {
  std::string items;
  for (const MendStep& step : hand_off.part.mended) {
    items += fmt::format("<li><b>The file was mended:</b> {}: {}{}</li>\n", mend_words(step.code),
                         step.count, step.detail.empty() ? "" : ", " + text::escaped(step.detail));
  }
  std::vector<std::string> codes;
  std::map<std::string, std::vector<const Warning*>> by_code;
  for (const Warning& warning : hand_off.warnings) {
    if (warning.code == "part-size") continue;  // the page's heading says it
    auto& group = by_code[warning.code];
    if (group.empty()) codes.push_back(warning.code);
    group.push_back(&warning);
  }
  for (const std::string& code : codes) items += warning_group(by_code[code]);
  return section("warnings", "Warnings",
                 items.empty() ? "<p>None.</p>" : "<ul class=\"warn\">" + items + "</ul>");
}

std::string basis_section(const HandOff& hand_off) {
  Rows rows;
  for (const Assumption& a : hand_off.assumptions) {
    rows.push_back({"<code>" + text::escaped(a.key) + "</code>", text::escaped(a.value),
                    text::escaped(a.source)});
  }
  const std::string more = fmt::format(
      "<p class=\"basis\">Part file {} <code>sha256 {}</code>, {} faces; seed {}; seamwright "
      "{}.</p>",
      text::escaped(hand_off.part.file), text::escaped(hand_off.part.sha256),
      hand_off.part.face_count, hand_off.seed, text::escaped(hand_off.program_version));
  return section("basis", "What the figures rest on",
                 std::string(print_totals(hand_off).is_recorded
                                 ? "<p>Times and masses are fitted to your finished prints; "
                                   "nothing else was measured on your machines. Change"
                                 : "<p>Nothing here was measured on your machines. Change") +
                     " a value in the job file "
                     "and run again.</p>" +
                     (rows.empty() ? std::string()
                                   : table({"Setting", "Value", "Where it comes from"}, rows, "")) +
                     more);
}

}  // namespace seamwright::report
