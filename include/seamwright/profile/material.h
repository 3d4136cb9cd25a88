#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "seamwright/core/describe.h"

namespace seamwright {

/// The filament. `[material]` in the job file; the default is generic PLA.
struct Material {
  std::string name = "PLA";
  double density_g_per_cm3 = 1.24;
  double filament_mm = 1.75;  ///< diameter of the filament
  double price_per_kg = 25;   ///< in the maker's currency
  double spool_g = 1000;
  double shrink_ratio = 0;  ///< printed parts come out smaller by this; written files are scaled up
                            ///< by 1/(1 - shrink_ratio)
  double flow_limit_mm3_per_s = 8;
  double warp_ratio = 0.15;  ///< how much big flat feet lift: 0 not at all, 1 as ABS does
};

template <class Settings, class Visitor>
requires same_settings<Settings, Material>
void describe(Settings& material, Visitor&& visit) {
  visit(material.name,
        FieldDoc{"name", "PLA, PETG, ABS, ASA, TPU, PA12: fills what is left out", "assumption"});
  visit(material.density_g_per_cm3,
        FieldDoc{"density_g_per_cm3", "mass per volume, printed solid",
                 "PLA 1.24: makers' data sheets, from memory", 0.1, 25});
  visit(material.filament_mm,
        FieldDoc{"filament_mm", "filament diameter", "common practice, no source", 0.5, 5});
  visit(material.price_per_kg,
        FieldDoc{"price_per_kg", "in your currency", "assumption", 0, 10000});
  visit(material.spool_g,
        FieldDoc{"spool_g", "filament on a full spool", "common practice, no source", 1, 100000});
  visit(material.shrink_ratio,
        FieldDoc{"shrink_ratio", "how much smaller prints come out; files are scaled up by it",
                 "assumption; PLA 0.002-0.004 in data sheets, from memory", 0, 0.05});
  visit(material.flow_limit_mm3_per_s,
        FieldDoc{"flow_limit_mm3_per_s", "most plastic the nozzle melts", "assumption", 0.1, 200});
  visit(material.warp_ratio,
        FieldDoc{"warp_ratio", "how much big flat feet lift: PLA 0.15, PETG 0.3, ABS and ASA 1",
                 "common practice, no source", 0, 2});
}

/// The filament of that name with its density and how it warps: PLA, PETG, ABS, ASA, TPU, PA12;
/// nothing for others. Source: densities of makers' data sheets, from memory; warping common
/// practice, no source.
std::optional<Material> preset_material(std::string_view name);

}  // namespace seamwright
