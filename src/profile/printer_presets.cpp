#include "seamwright/profile/printer_presets.h"

namespace seamwright {

std::optional<Printer> preset_printer(std::string_view name) {
  Printer printer;
  printer.preset = name;
  if (name == "small") return printer;
  if (name == "mid") {
    printer.name = "mid 220";
    printer.room_mm = {220, 220, 250};
    return printer;
  }
  if (name == "tall") {
    printer.name = "tall 400";
    printer.room_mm = {200, 200, 400};
    return printer;
  }
  if (name == "round") {
    printer.name = "round 240";
    printer.room_mm = {240, 240, 300};
    printer.bed = Bed::round;
    return printer;
  }
  return std::nullopt;
}

Printer with_motion(Printer printer, Motion motion) {
  const Printer slow;
  const bool is_fast = motion == Motion::fast;
  printer.motion = motion;
  printer.acceleration_mm_per_s2 = is_fast ? 5000 : slow.acceleration_mm_per_s2;
  printer.retraction_mm = is_fast ? 1 : slow.retraction_mm;
  printer.wall_mm_per_s = is_fast ? std::optional(150.0) : std::nullopt;
  printer.fill_mm_per_s = is_fast ? std::optional(200.0) : std::nullopt;
  printer.flow_limit_mm3_per_s = is_fast ? std::optional(12.0) : std::nullopt;
  return printer;
}

PrintSettings settings_on(const Printer& printer, PrintSettings print) {
  if (printer.fill_mm_per_s) {
    print.nominal_mm_per_s = *printer.fill_mm_per_s;
    print.solid_fill_mm_per_s = print.top_skin_mm_per_s = print.sparse_fill_mm_per_s =
        print.support_mm_per_s = printer.fill_mm_per_s;
  }
  if (printer.wall_mm_per_s) {
    print.outer_wall_mm_per_s = print.inner_wall_mm_per_s = print.gap_mm_per_s =
        printer.wall_mm_per_s;
  }
  return print;
}

Material material_on(const Printer& printer, Material material) {
  if (printer.flow_limit_mm3_per_s) material.flow_limit_mm3_per_s = *printer.flow_limit_mm3_per_s;
  return material;
}

}  // namespace seamwright
