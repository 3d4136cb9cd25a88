#pragma once

#include <string>

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
};

template <class Settings, class Visitor>
requires same_settings<Settings, Material>
void describe(Settings& material, Visitor&& visit) {
  visit(material.name, FieldDoc{"name", "what the filament is", "assumption"});
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
}

}  // namespace seamwright
