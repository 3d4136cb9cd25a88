#pragma once

#include <string>
#include <vector>

#include "seamwright/core/result.h"

namespace seamwright {

/// Bare diameter of a gauge: 0.127 mm · 92^((36 − gauge)/39). Source: ASTM B258 (its formula).
double gauge_diameter_mm(int gauge);
/// Resistance of solid copper of that diameter at 20 °C, ρ = 0.017241 Ω·mm²/m.
/// Source: IEC 60028 (memory).
double gauge_ohm_per_km(int gauge);
/// Outer diameter of insulated hook-up wire of that gauge; UL 1007 style, makers' sheets (memory),
/// ±0.1 mm. Errors: "wire-gauge-unknown" for gauges without a figure.
Result<double> hookup_wire_mm(int gauge);

/// Diameter of the circle round `count` equal circles of diameter 1: the best packings known.
/// Source: Graham, Lubachevsky, Nurmela, Östergård, Discrete Math. 181 (1998) (memory) up to 7;
/// above, a hexagonal packing's bound 1 + √((12 count − 3)/9), an upper estimate.
double bundle_ratio(std::size_t count);

/// The bore a bundle needs, and what governed it.
struct BoreSize {
  double bundle_mm = 0;
  double bore_mm = 0;
  std::string governed_by;  ///< "fill", "bundle" or "jam"
  std::string warning;      ///< the jam of three wires, or empty
};

/// Sizes a bore for conductors like "2xAWG26" or "AWG22": at most 53 % of its section filled by one
/// wire, 31 % by two, 40 % by more (NFPA 70 chapter 9 table 1), and 0.3 mm wider than the round
/// bundle; three wires are warned of between 2.8 and 3.2 wire diameters (informational note 2 of
/// that table), and the bore is made wider than that. Errors: "wire-conductors" naming the text and
/// the form wanted. O(conductors).
Result<BoreSize> size_bore(const std::vector<std::string>& conductors);

}  // namespace seamwright
