#pragma once

#include <cstddef>

namespace seamwright {

/// What printing a loose part takes: solid, with a brim, all of one printer's on one bed, so that
/// each bears an equal share of heating up.
struct LoosePrint {
  std::size_t printer = 0;  ///< position in HandOff::printers
  double print_s = 0, fast_print_s = 0, filament_mm = 0, mass_g = 0;
  double alone_print_s = 0;  ///< as the only one on the bed, heating and all
  double brim_mm = 0;
};

}  // namespace seamwright
