#pragma once

#include <optional>
#include <string>

#include "seamwright/core/result.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

enum class Unit { mm, cm, m, inch };

/// Millimetres of one unit.
double unit_mm(Unit unit);
std::optional<Unit> unit_named(const std::string& name);
std::string unit_name(Unit unit);

/// What the numbers of a file were taken to mean.
struct UnitChoice {
  Unit unit = Unit::mm;
  double scale_ratio = 1;  ///< file numbers times this are millimetres
  bool was_given = false;
  std::string message;  ///< says the finished size first, loudly
};

/// Millimetres when the longest side is then 20…3000 mm; `unit` or `length_mm` (of the longest
/// side) override. Errors: "implausible-size" with the unit that would fit. O(n).
Result<UnitChoice> choose_unit(const TriangleSoup& soup, std::optional<Unit> unit,
                               std::optional<double> length_mm);

}  // namespace seamwright
