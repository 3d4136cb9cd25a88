#include "seamwright/profile/material.h"

namespace seamwright {

std::optional<Material> preset_material(std::string_view name) {
  struct Row {
    std::string_view name;
    double density_g_per_cm3, warp_ratio;
  };
  static constexpr Row kRows[] = {{"PLA", 1.24, 0.15}, {"PETG", 1.27, 0.3}, {"ABS", 1.04, 1},
                                  {"ASA", 1.07, 1},    {"TPU", 1.21, 0.1},  {"PA12", 1.01, 1.2}};
  for (const Row& row : kRows) {
    if (row.name != name) continue;
    Material material;
    material.name = row.name;
    material.density_g_per_cm3 = row.density_g_per_cm3;
    material.warp_ratio = row.warp_ratio;
    return material;
  }
  return std::nullopt;
}

}  // namespace seamwright
