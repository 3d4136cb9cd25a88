#pragma once

#include <numbers>

#include "seamwright/profile/material.h"

namespace seamwright {

/// Section of the plastic per length of line where neighbouring lines lie `width_mm` apart: what
/// the printer must push to leave no gaps. (A stadium at the same spacing loses 5 to 16 %.)
constexpr double line_section_mm2(double width_mm, double height_mm) {
  return width_mm * height_mm;
}

/// Section of one free strand squeezed to `height_mm`: a rectangle with round sides,
/// (w − h) h + π h²/4. Requires width ≥ height. Source: elementary geometry; a real strand
/// differs: Comminal et al., Addit. Manuf. 20 (2018) 68–76 (abstract seen).
constexpr double bead_section_mm2(double width_mm, double height_mm) {
  return (width_mm - height_mm) * height_mm + std::numbers::pi * height_mm * height_mm / 4;
}

/// Section of the filament.
constexpr double filament_section_mm2(const Material& material) {
  return std::numbers::pi * material.filament_mm * material.filament_mm / 4;
}

/// Filament drawn in for a printed volume.
constexpr double filament_length_mm(double volume_mm3, const Material& material) {
  return volume_mm3 / filament_section_mm2(material);
}

/// Mass of a printed volume.
constexpr double plastic_mass_g(double volume_mm3, const Material& material) {
  return volume_mm3 * material.density_g_per_cm3 / 1000;
}

}  // namespace seamwright
