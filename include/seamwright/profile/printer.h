#pragma once

#include <string>

#include "seamwright/core/describe.h"
#include "seamwright/core/vec.h"

namespace seamwright {

/// One printer: what fits on it and how it moves. `[[printer]]` in the job file. Defaults: a
/// generic small cube machine; all of them assumptions until the maker says otherwise.
struct Printer {
  std::string name = "small cube 180";
  Vec3 room_mm{180, 180, 180};  ///< the machine's full room, before margins
  double margin_mm = 5;         ///< kept free at each side of the bed
  double top_margin_mm = 2;     ///< kept free above
  double nozzle_mm = 0.4;
  double acceleration_mm_per_s2 = 500;
  double corner_jerk_mm_per_s = 8;
  double travel_mm_per_s = 120;
  double retraction_mm = 5;
  double retraction_mm_per_s = 35;
  double retraction_from_mm = 2;  ///< travels longer than this retract
  double start_and_finish_s = 60;
  double time_factor_ratio = 1;  ///< fitted by `record`
  double mass_factor_ratio = 1;

  /// The box a piece must fit: the room less its margins.
  Vec3 usable_mm() const {
    return {room_mm.x - 2 * margin_mm, room_mm.y - 2 * margin_mm, room_mm.z - top_margin_mm};
  }
};

template <class Settings, class Visitor>
requires same_settings<Settings, Printer>
void describe(Settings& printer, Visitor&& visit) {
  constexpr std::string_view kAssumed = "assumption";
  visit(printer.name, FieldDoc{"name", "what you call the printer", kAssumed});
  visit(printer.room_mm,
        FieldDoc{"room_mm", "width, depth and height it can print", kAssumed, 20, 3000});
  visit(printer.margin_mm,
        FieldDoc{"margin_mm", "kept free at each side of the bed", kAssumed, 0, 100});
  visit(printer.top_margin_mm,
        FieldDoc{"top_margin_mm", "kept free above the piece", kAssumed, 0, 100});
  visit(printer.nozzle_mm, FieldDoc{"nozzle_mm", "nozzle bore", kAssumed, 0.1, 2});
  visit(printer.acceleration_mm_per_s2,
        FieldDoc{"acceleration_mm_per_s2", "the figure that matters most for time", kAssumed, 10,
                 100000});
  visit(printer.corner_jerk_mm_per_s,
        FieldDoc{"corner_jerk_mm_per_s", "sudden change of speed allowed at corners", kAssumed, 0.1,
                 100});
  visit(printer.travel_mm_per_s,
        FieldDoc{"travel_mm_per_s", "speed of moves without filament", kAssumed, 1, 2000});
  visit(printer.retraction_mm,
        FieldDoc{"retraction_mm", "filament pulled back before a travel", kAssumed, 0, 20});
  visit(printer.retraction_mm_per_s,
        FieldDoc{"retraction_mm_per_s", "speed of that pull", kAssumed, 1, 300});
  visit(printer.retraction_from_mm,
        FieldDoc{"retraction_from_mm", "travels longer than this retract", kAssumed, 0, 100});
  visit(printer.start_and_finish_s,
        FieldDoc{"start_and_finish_s", "homing, first purge, parking", kAssumed, 0, 3600});
  visit(printer.time_factor_ratio,
        FieldDoc{"time_factor_ratio", "recorded over estimated time", kAssumed, 0.2, 5});
  visit(printer.mass_factor_ratio,
        FieldDoc{"mass_factor_ratio", "recorded over estimated mass", kAssumed, 0.2, 5});
}

}  // namespace seamwright
