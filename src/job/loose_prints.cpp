#include "job/loose_prints.h"

#include <algorithm>
#include <map>

#include "job/shrinkage.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright::job_detail {
namespace {

constexpr double kBrim_mm = 4;  // thin parts on their edge need it; common practice, no source

PrintSettings solid_with_brim(PrintSettings print) {
  print.fill_ratio = 1;
  print.brim_mm = std::max(print.brim_mm, kBrim_mm);
  return print;
}

struct Timed {
  PrintEstimate slow, fast;
};

Result<Timed> timed(const Solid& solid, const Transform& bed, const Printer& printer,
                    const HandOff& out, const Run& run) {
  const PrintSettings print = solid_with_brim(out.print);
  const auto laid = lay_lines(solid, bed, print, run);
  if (!laid) return laid.error();
  auto slow = time_lines(*laid, printer, out.material, print, run);
  if (!slow) return std::move(slow).error();
  auto fast = time_lines(*laid, with_motion(printer, Motion::fast), out.material, print, run);
  if (!fast) return std::move(fast).error();
  return Timed{std::move(*slow), std::move(*fast)};
}

/// One printed thing; `others_ratio` of the heating is borne by what is printed with it.
Status estimate_one(LoosePrint& loose, const Solid& solid, const Transform& bed,
                    double others_ratio, const HandOff& out, const Run& run) {
  const Printer& printer = out.printers.at(loose.printer);
  auto both = timed(solid, bed, printer, out, run);
  if (!both) return std::move(both).error();
  const auto shared_s = [&](const PrintEstimate& print) {
    return print.print_s - others_ratio * print.start_s * printer.time_factor_ratio;
  };
  loose.print_s = shared_s(both->slow);
  loose.alone_print_s = both->slow.print_s;
  loose.brim_mm = solid_with_brim(out.print).brim_mm;
  const bool has_fast = out.pieces.front().fast_print.print_s > 0;
  loose.fast_print_s = has_fast ? shared_s(both->fast) : 0;
  loose.filament_mm = both->slow.filament_mm;
  loose.mass_g = both->slow.mass_g;
  return ok();
}

/// The longest thing that lies in every direction on the first printer's bed, brim and all.
double longest_lid_mm(const HandOff& out) {
  const double brim_mm = solid_with_brim(out.print).brim_mm;
  const std::vector<ClearBox> boxes =
      clear_boxes(with_room_for_shrinkage(out.printers.front(), out.material));
  require(!boxes.empty(), "a printer has room inside its margins");
  return std::min(boxes.front().size_mm.x, boxes.front().size_mm.y) - 2 * brim_mm;
}

}  // namespace

Status estimate_loose_parts(HandOff& out, const Run& run) {
  out.lids = lids_of(out.channels, longest_lid_mm(out));
  out.lid_prints.assign(out.lids.size(), {.printer = 0});
  std::map<std::size_t, double> counts{{0, static_cast<double>(out.lids.size())}};
  for (const LoosePart& part : out.loose_parts) {
    const PieceId above = out.joints.at(part.joint).face.above;
    out.loose_prints.push_back({.printer = out.pieces.at(to_index(above)).planned.printer});
    ++counts[out.loose_prints.back().printer];
  }
  const auto others = [&](const LoosePrint& loose) { return 1 - 1 / counts[loose.printer]; };
  for (std::size_t i = 0; i < out.loose_parts.size(); ++i) {
    LoosePrint& loose = out.loose_prints[i];
    const LoosePart& part = out.loose_parts[i];
    Status done = estimate_one(loose, part.solid, part.bed_from_part, others(loose), out, run);
    if (!done) return std::move(done).error().within("loose part " + part.mark);
  }
  for (std::size_t i = 0; i < out.lids.size(); ++i) {
    LoosePrint& loose = out.lid_prints[i];
    Status done = estimate_one(loose, out.lids[i].solid, {}, others(loose), out, run);
    if (!done) return std::move(done).error().within("lid " + out.lids[i].mark);
  }
  return ok();
}

}  // namespace seamwright::job_detail
