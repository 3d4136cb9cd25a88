#include "handoff/print_work.h"

namespace seamwright {

std::vector<PrintWork> print_work(const PrintEstimate& print) {
  const double time_ratio = print.model_print_s > 0 ? print.print_s / print.model_print_s : 1;
  const double mass_ratio = print.model_mass_g > 0 ? print.mass_g / print.model_mass_g : 1;
  std::vector<PrintWork> work;
  const auto add = [&](std::string_view kind, double seconds, double filament_mm) {
    if (seconds > 0 || filament_mm > 0)
      work.push_back({std::string(kind), seconds * time_ratio, filament_mm * mass_ratio});
  };
  for (std::size_t k = 0; k < kLineKindCount; ++k)
    add(name_of(static_cast<LineKind>(k)), print.kind_s[k], print.kind_filament_mm[k]);
  add("travel", print.travel_s, 0);
  add("retraction", print.retraction_s, 0);
  add("layer changes", print.layer_change_s, 0);
  add("heating and homing", print.start_s, 0);
  return work;
}

}  // namespace seamwright
