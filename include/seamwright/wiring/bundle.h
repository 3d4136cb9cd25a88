#pragma once

#include <optional>
#include <string>
#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/core/vec.h"

namespace seamwright {

/// Bare diameter of a gauge: 0.127 mm · 92^((36 − gauge)/39). Source: ASTM B258 (its formula).
double gauge_diameter_mm(int gauge);
/// Resistance of solid copper of that diameter at 20 °C, ρ = 0.017241 Ω·mm²/m.
/// Source: IEC 60028 (memory).
double gauge_ohm_per_km(int gauge);
/// The same at another temperature: times 1 + 0.00393 (T − 20). Source: IEC 60028 (memory).
double gauge_ohm_per_km(int gauge, int celsius);
/// Outer diameter of insulated hook-up wire of that gauge; UL 1007 style, makers' sheets (memory),
/// ±0.1 mm. Errors: "wire-gauge-unknown" for gauges without a figure.
Result<double> hookup_wire_mm(int gauge);

/// Diameter of the circle round `count` equal circles of diameter 1: the best packings known.
/// Source: Graham, Lubachevsky, Nurmela, Östergård, Discrete Math. 181 (1998) (memory) up to 7;
/// above, a hexagonal packing's bound 1 + √((12 count − 3)/9), an upper estimate.
double bundle_ratio(std::size_t count);

/// Diameter of a circle that holds circles of these diameters without overlap: for equal ones by
/// bundle_ratio, else an arrangement found by pressing them together from many fixed starts, so an
/// upper estimate of the best. Guarantees: at least the largest diameter, and at most that of as
/// many circles of the largest size. O(rounds · n²).
double packed_diameter_mm(const std::vector<double>& wires_mm);

/// Count and gauge of "2xAWG26" or "AWG22". Errors: "wire-conductors" with the form wanted.
struct Conductors {
  int count = 1, gauge = 0;
};
Result<Conductors> read_conductors(const std::string& text);

/// The bore a bundle needs, and what governed it.
struct BoreSize {
  double bundle_mm = 0;
  double bore_mm = 0;
  double fill_ratio = 0;        ///< Σd² / D²
  double fill_limit_ratio = 0;  ///< what the table allows for that many wires
  std::string governed_by;      ///< "fill", "bundle", "jam" or "connector"
  std::string warning;          ///< the jam of three wires, or empty
};

/// Sizes a bore for conductors like "2xAWG26" or "AWG22": at most 53 % of its section filled by one
/// wire, 31 % by two, 40 % by more (NFPA 70 chapter 9 table 1), and 0.3 mm wider than the round
/// bundle; three wires are warned of between 2.8 and 3.2 wire diameters (informational note 2 of
/// that table), and the bore is made wider than that. Errors: "wire-conductors" naming the text and
/// the form wanted. O(conductors).
Result<BoreSize> size_bore(const std::vector<std::string>& conductors);

/// The least width of a bent slot (centre line radius R, width D) that a plug of length L and
/// thickness h passes: √((R − D/2 + h)² + (L/2)²) ≤ R + D/2. An infinite radius is a straight way.
/// Source: elementary geometry.
double plug_in_bend_mm(double length_mm, double thickness_mm, double bend_mm);
/// The least round bore that a stiff box passes: as wide as the box beside the slot above, so
/// √(slot² + width²). `box_mm` is width, height, length; the lower of width and height lies in the
/// bend.
double threaded_bore_mm(Vec3 box_mm, double bend_mm);

/// Volts lost on the way there and back, and what gauges would do.
struct VoltDrop {
  double loop_ohm = 0;  ///< both conductors, 20 °C
  double drop_v = 0;
  double drop_ratio = 0;  ///< of the supply
  int gauge = 0;
  std::optional<int> gauge_for_3_percent, gauge_for_5_percent;  ///< the thinnest that would do
};

/// Drop over `length_mm` one way, two conductors of the gauge: 2 L I R. Limits 3 % and 5 % are
/// advice (NFPA 70 210.19 informational note, memory). Gauges from 30 to 18.
VoltDrop volt_drop(int gauge, double length_mm, double current_a, double supply_v);

}  // namespace seamwright
