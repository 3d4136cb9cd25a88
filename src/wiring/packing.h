#pragma once

#include <vector>

namespace seamwright::wiring_detail {

/// Diameter of a circle round unequal circles, by pressing them together from fixed starts.
double pressed_diameter_mm(const std::vector<double>& diameters_mm);

}  // namespace seamwright::wiring_detail
