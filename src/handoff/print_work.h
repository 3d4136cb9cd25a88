#pragma once

#include <string>
#include <vector>

#include "seamwright/printing/print_estimate.h"

namespace seamwright {

/// One kind of work of a print, with the printer's factors on it.
struct PrintWork {
  std::string kind;  ///< "outer wall", "travel", "heating and homing"
  double seconds = 0, filament_mm = 0;
};

/// Where a print's time and filament go: a row a kind of line, then travel, retraction, layer
/// changes, heating. Sums to print_s and filament_mm. Kinds with nothing to do are left out.
std::vector<PrintWork> print_work(const PrintEstimate& print);

}  // namespace seamwright
