#pragma once

#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// What the gauge piece tries.
struct GaugeOptions {
  double diameter_mm = 6;  ///< of the pins and of all holes' nominal size
  double least_mm = 0.05;  ///< clearance per side of the first hole
  double step_mm = 0.05;   ///< from one hole to the next
  int hole_count = 8;
  double depth_mm = 8;  ///< of the holes; pins are as long
};

/// A gauge piece to print once on each printer: a plate with a row of holes, each a step wider than
/// the one before, and a foot with two pins of the nominal size. The tightest hole that a pin
/// slides into by hand is the printer's clearance. Both stand on z = 0, side by side, for printing
/// as they are.
struct Gauge {
  Solid plate, pins;
  std::vector<double> clearances_mm;  ///< per side, in the order of the holes, from the plate's
                                      ///< corner that is cut off
};

/// Builds both into the tops of boxes, as joints are built into caps: holes circumscribed, pins
/// inscribed and chamfered, sagitta ≤ 0.005 mm, each hole's clearance in hundredths of a millimetre
/// engraved beside it. Guarantees: closed; a hole's flats stand diameter/2 + clearance from its
/// axis to 1e-6. Errors: "gauge-failed" when holes would leave less than 2 mm between them or a
/// plate longer than 180 mm. O(holes).
Result<Gauge> make_gauge(const GaugeOptions& options = {});

}  // namespace seamwright
