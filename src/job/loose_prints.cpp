#include "job/loose_prints.h"

#include <algorithm>
#include <map>

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

Result<Timed> timed(const LoosePart& part, const Printer& printer, const HandOff& out,
                    const Run& run) {
  const PrintSettings print = solid_with_brim(out.print);
  const auto laid = lay_lines(part.solid, part.bed_from_part, print, run);
  if (!laid) return laid.error();
  auto slow = time_lines(*laid, printer, out.material, print, run);
  if (!slow) return std::move(slow).error();
  auto fast = time_lines(*laid, with_motion(printer, Motion::fast), out.material, print, run);
  if (!fast) return std::move(fast).error();
  return Timed{std::move(*slow), std::move(*fast)};
}

}  // namespace

Status estimate_loose_parts(HandOff& out, const Run& run) {
  std::map<std::size_t, double> counts;
  for (const LoosePart& part : out.loose_parts) {
    const PieceId above = out.joints.at(part.joint).face.above;
    out.loose_prints.push_back({.printer = out.pieces.at(to_index(above)).planned.printer});
    ++counts[out.loose_prints.back().printer];
  }
  for (std::size_t i = 0; i < out.loose_parts.size(); ++i) {
    LoosePrint& loose = out.loose_prints[i];
    const Printer& printer = out.printers.at(loose.printer);
    auto both = timed(out.loose_parts[i], printer, out, run);
    if (!both) return std::move(both).error().within("loose part " + out.loose_parts[i].mark);
    const double others = 1 - 1 / counts[loose.printer];  // of heating, that others bear
    const auto shared_s = [&](const PrintEstimate& print) {
      return print.print_s - others * print.start_s * printer.time_factor_ratio;
    };
    loose.print_s = shared_s(both->slow);
    const bool has_fast = out.pieces.front().fast_print.print_s > 0;
    loose.fast_print_s = has_fast ? shared_s(both->fast) : 0;
    loose.filament_mm = both->slow.filament_mm;
    loose.mass_g = both->slow.mass_g;
  }
  return ok();
}

}  // namespace seamwright::job_detail
