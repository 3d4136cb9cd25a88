#include "job/days_stage.h"

#include <fmt/format.h>

#include <sstream>

#include "seamwright/core/parallel.h"
#include "seamwright/days/footprint.h"
#include "seamwright/handoff/corner_pads.h"
#include "seamwright/handoff/loose_parts.h"
#include "seamwright/pose/quick_estimate.h"

namespace seamwright::job_detail {
namespace {

/// What pieces may lie on: the bed inside its margins, a round one as such, less the corners that
/// clips take up.
BedArea bed_area(const Printer& printer) {
  const Vec3 room = printer.room_mm;
  const double margin_mm = printer.margin_mm;
  if (printer.bed == Bed::round) {
    const Vec3 usable = printer.usable_mm();
    return round_bed({room.x / 2, room.y / 2}, std::min(usable.x, usable.y));
  }
  BedArea bed = rectangle_bed({margin_mm, margin_mm}, {room.x - margin_mm, room.y - margin_mm});
  const auto block = [&](double side_mm, bool is_right, bool is_back) {
    if (side_mm <= margin_mm) return;
    const Vec2 low{is_right ? room.x - side_mm : 0, is_back ? room.y - side_mm : 0};
    bed.blocked.push_back(rectangle_bed(low, low + Vec2{side_mm, side_mm}).outline);
  };
  block(printer.blocked_front_left_mm, false, false);
  block(printer.blocked_front_right_mm, true, false);
  block(printer.blocked_back_left_mm, false, true);
  block(printer.blocked_back_right_mm, true, true);
  return bed;
}

DaysPrinter days_printer(const Printer& printer, const Job& job) {
  DaysPrinter out;
  out.load.name = printer.name;
  out.load.bed = bed_area(printer);
  out.load.height_mm = printer.room_mm.z - printer.top_margin_mm;
  out.load.once_s = (printer.start_and_finish_s + job.print.heating_s) * printer.time_factor_ratio;
  out.load.travel_mm_per_s = printer.travel_mm_per_s;
  out.load.hop_s = 2 * printer.retraction_mm / printer.retraction_mm_per_s;
  out.awake = printer.awake;
  out.home = printer.home;
  out.spool_g = job.material.spool_g;
  out.time_factor_ratio = printer.time_factor_ratio;
  out.mass_factor_ratio = printer.mass_factor_ratio;
  return out;
}

/// Something to print as it stands: a piece or a loose part.
struct Standing {
  const Solid* solid = nullptr;
  Pose pose;
  double print_s = 0;
  std::size_t printer = 0;
};

/// Where a thing prints on another machine than planned, or with other layers, its full estimate is
/// scaled by what the quick estimate says of the two. Printers carry what their records say.
class TimeScale {
 public:
  TimeScale(const Standing& thing, const HandOff& out) : thing_(thing), out_(out) {
    planned_s_ = quick_s(out.printers[thing.printer], out.print);
  }
  std::optional<double> print_s(const Printer& printer, const PrintSettings& print) const {
    const Vec3 room = printer.usable_mm();
    // Turned by nesting, so any two sides may go with any two.
    const Vec3 size = thing_.pose.size_mm;
    const double diagonal_mm = std::hypot(room.x, room.y);
    if (size.z > room.z + 1e-6 || std::max(size.x, size.y) > diagonal_mm) return std::nullopt;
    return thing_.print_s * quick_s(printer, print) / planned_s_;
  }

 private:
  double quick_s(const Printer& printer, const PrintSettings& print) const {
    return quick_estimate(*thing_.solid, thing_.pose, printer, out_.material, print).print_s;
  }
  const Standing& thing_;
  const HandOff& out_;
  double planned_s_ = 1;
};

PrintSettings with_thick_layers(PrintSettings print, const Job& job) {
  double least_nozzle_mm = 10;
  for (const Printer& printer : job.printers)
    least_nozzle_mm = std::min(least_nozzle_mm, printer.nozzle_mm);
  print.layer_mm = std::min(1.4 * print.layer_mm, 0.75 * least_nozzle_mm);
  return print;
}

std::optional<std::size_t> spool_group_of(const std::string& mark, const DaysChoice& days) {
  for (std::size_t i = 0; i < days.same_spool.size(); ++i) {
    std::istringstream words(days.same_spool[i]);
    for (std::string word; words >> word;) {
      if (word == mark) return i;
    }
  }
  return std::nullopt;
}

void mark_trials(NamedDays& days, const HandOff& out) {
  if (!days.input.choice.has_trial_first || out.assembly.empty()) return;
  const JointFace& face = out.joints.at(out.assembly.front()).face;
  for (DayPiece& piece : days.input.pieces) {
    piece.is_trial = piece.mark == out.pieces[to_index(face.above)].mark ||
                     piece.mark == out.pieces[to_index(face.below)].mark;
  }
}

/// What a piece covers of the bed, with the pads under its corners.
std::vector<Region2> outline_of(const Solid& solid, const FinishedPiece& piece,
                                const HandOff& out) {
  if (piece.pads.empty()) return footprint(solid);
  const Solid pads = pads_in_file(piece, out.material, out.print.first_layer_mm);
  const std::vector<Solid> both{solid, pads};
  return footprint(gathered(both));
}

DayPiece day_piece(const FinishedPiece& piece, const HandOff& out, const Job& job) {
  const Solid solid = solid_in_file(piece, out.material);
  DayPiece made{.mark = piece.mark, .outline = outline_of(solid, piece, out)};
  made.height_mm = solid.box().high.z;
  made.mass_g = piece.print.mass_g;
  made.layer_count = piece.print.layer_count;
  made.planned_printer = piece.planned.printer;
  made.spool_group = spool_group_of(piece.mark, job.days);
  made.files = {piece.file};
  if (!piece.pads.empty()) made.files.push_back(pads_file(piece));
  return made;
}

/// With its brim, so that brims of neighbours don't meet; without, where only that fits the bed.
DayPiece day_piece(const std::string& mark, const std::string& file, const Solid& solid,
                   const LoosePrint& print, const HandOff& out) {
  const Vec3 room = out.printers[print.printer].usable_mm(), size = solid.box().size();
  const bool has_room = std::max(size.x, size.y) + 2 * print.brim_mm <= std::min(room.x, room.y);
  DayPiece made{.mark = mark, .outline = footprint(solid, 0.05, has_room ? print.brim_mm : 0)};
  made.height_mm = size.z;
  made.mass_g = print.mass_g;
  made.layer_count = static_cast<std::size_t>(std::ceil(size.z / out.print.layer_mm));
  made.planned_printer = print.printer;
  made.is_small = true;
  made.files = {file};
  return made;
}

/// What is yet to print: how it stands, and how the days see it. Pieces, loose parts, lids.
struct ToPrint {
  std::vector<Standing> things;
  std::vector<DayPiece> pieces;
};

void add_pieces(ToPrint& all, const HandOff& out, const Job& job, const Run& run) {
  std::vector<std::size_t> left;
  for (std::size_t i = 0; i < out.pieces.size(); ++i) {
    const FinishedPiece& piece = out.pieces[i];
    if (piece.is_done) continue;
    left.push_back(i);
    all.things.push_back(
        {&piece.keyed, piece.planned.pose, piece.print.print_s, piece.planned.printer});
  }
  all.pieces = map_index(left.size(), run,
                         [&](std::size_t i) { return day_piece(out.pieces[left[i]], out, job); });
}

ToPrint all_to_print(const HandOff& out, const Job& job, const Run& run) {
  ToPrint all;
  add_pieces(all, out, job, run);
  for (std::size_t i = 0; i < out.loose_prints.size(); ++i) {
    const LoosePart& part = out.loose_parts[i];
    const LoosePrint& print = out.loose_prints[i];
    const Pose pose{.bed_from_part = part.bed_from_part, .size_mm = part.size_mm};
    all.things.push_back({&part.solid, pose, print.alone_print_s, print.printer});
    const Solid solid = loose_part_in_file(part, out.material);
    all.pieces.push_back(day_piece(part.mark, loose_part_file(part), solid, print, out));
  }
  for (std::size_t i = 0; i < out.lid_prints.size(); ++i) {
    const ChannelLid& lid = out.lids[i];
    const LoosePrint& print = out.lid_prints[i];
    const Pose pose{.bed_from_part = {}, .size_mm = lid.solid.box().size()};
    all.things.push_back({&lid.solid, pose, print.alone_print_s, print.printer});
    const Solid solid = lid_in_file(lid, out.material);
    all.pieces.push_back(day_piece(lid.mark, lid_file(lid), solid, print, out));
  }
  return all;
}

NamedDays gather(const HandOff& out, const Job& job, const Run& run) {
  NamedDays days{out.part.file.substr(0, out.part.file.rfind('.')), {out.material.name}, {}};
  days.input.choice = job.days;
  days.input.first_layer_failure_ratio = job.cost.first_layer_failure_ratio;
  days.input.failure_per_h = job.cost.failure_per_h;
  days.input.band_ratio = print_totals(out).time_band_ratio;
  for (const Printer& printer : out.printers)
    days.input.printers.push_back(days_printer(printer, job));
  const PrintSettings thick = with_thick_layers(job.print, job);
  days.input.thick_layer_mm = thick.layer_mm;
  ToPrint all = all_to_print(out, job, run);
  days.input.pieces = std::move(all.pieces);
  for (std::size_t i = 0; i < all.things.size(); ++i) {
    const TimeScale scale(all.things[i], out);
    days.input.thick_print_s.emplace_back();
    for (const Printer& printer : out.printers) {
      days.input.pieces[i].print_s.push_back(scale.print_s(printer, job.print));
      days.input.thick_print_s[i].push_back(scale.print_s(printer, thick));
    }
  }
  mark_trials(days, out);
  return days;
}

}  // namespace

Status plan_the_days(HandOff& out, const Job& job, const Run& run) {
  out.days_input = gather(out, job, run);
  if (out.days_input->input.pieces.empty()) return ok();  // all is printed already
  Result<DayPlan> plan = plan_days(out.days_input->input, run);
  if (plan) {
    out.days = std::move(*plan);
    return ok();
  }
  const bool no_plan = plan.error().code == "no-window" ||
                       plan.error().code == "group-over-spool" ||
                       plan.error().code == "piece-off-bed";
  if (!no_plan) return Error(plan.error()).within("while planning the days");
  out.warnings.push_back({"no-calendar", "There is no calendar: " + plan.error().message + "."});
  return ok();
}

}  // namespace seamwright::job_detail
