#include "seamwright/printing/print_estimate.h"

namespace seamwright {

Result<PrintEstimate> estimate_print(const Solid& solid, const Transform& bed_from_part,
                                     const Printer& printer, const Material& material,
                                     const PrintSettings& print, const Run& run) {
  const Status profile = check_profile(printer, material, print);
  if (!profile) return profile.error();
  const Result<LaidPiece> piece = lay_lines(solid, bed_from_part, print, run);
  if (!piece) return piece.error();
  Result<PrintEstimate> estimate = time_lines(*piece, printer, material, print, run);
  run.report(1);
  return estimate;
}

}  // namespace seamwright
