#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "seamwright/handoff/hand_off.h"

namespace seamwright::days_parts {

/// plan.json's "days": loads and calendar; null without a plan.
nlohmann::ordered_json days_part(const HandOff& hand_off);

/// plan.json's "wear": masses, middles, what each seam bears; null without.
nlohmann::ordered_json wear_part(const HandOff& hand_off);
/// plan.json's "bags": what went where, in which order; null without bags.
nlohmann::ordered_json bags_part(const HandOff& hand_off);

/// The printers' names, in the order of the plan.
std::vector<std::string> printer_names(const DaysInput& input);

/// A load's pieces where they lie on the bed of the printer the calendar gives it, as their files
/// hold them.
struct LoadSolids {
  std::string file;  ///< "loads/load-01.3mf"
  std::vector<std::string> names;
  std::vector<Solid> solids;
};
LoadSolids load_solids(const HandOff& hand_off, std::size_t load);
std::string load_file(std::size_t load);

}  // namespace seamwright::days_parts
