#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "seamwright/core/describe.h"
#include "seamwright/core/vec.h"
#include "seamwright/profile/printer_kinds.h"

namespace seamwright {

/// One printer: what fits on it and how it moves. `[[printer]]` in the job file. Defaults: a
/// generic small cube machine; all of them assumptions until the maker says otherwise.
struct Printer {
  std::string preset = "small";  ///< see preset_printer
  Motion motion = Motion::slow;
  std::string name = "small cube 180";
  Vec3 room_mm{180, 180, 180};  ///< the machine's full room, before margins
  Bed bed = Bed::rectangle;
  double blocked_front_left_mm = 0;  ///< side of the square in each corner that clips take up
  double blocked_front_right_mm = 0;
  double blocked_back_left_mm = 0;
  double blocked_back_right_mm = 0;
  double margin_mm = 5;      ///< kept free at each side of the bed
  double top_margin_mm = 2;  ///< kept free above
  double nozzle_mm = 0.4;
  double acceleration_mm_per_s2 = 500;
  std::optional<double> outer_wall_acceleration_mm_per_s2, travel_acceleration_mm_per_s2,
      first_layer_acceleration_mm_per_s2;  ///< empty: as the rest
  CornerRule corner_rule = CornerRule::jerk;
  double corner_jerk_mm_per_s = 8;
  double junction_deviation_mm = 0.05;  ///< when the corner rule is deviation
  double travel_mm_per_s = 120;
  double retraction_mm = 5;
  double retraction_mm_per_s = 35;
  double retraction_from_mm = 2;  ///< travels longer than this retract
  double feeder_acceleration_mm_per_s2 = 1000;
  double layer_change_s = 0.1;                         ///< lifting to the next layer
  std::optional<double> wall_mm_per_s, fill_mm_per_s;  ///< this printer's own; empty: [print]'s
  std::optional<double> flow_limit_mm3_per_s;          ///< empty: the material's
  double start_and_finish_s = 60;
  double time_factor_ratio = 1;  ///< fitted by `record`
  double mass_factor_ratio = 1;
  double price_per_h = 0;  ///< in the maker's currency: a piece goes where it costs least
  std::vector<std::string> awake, home;  ///< its own hours; empty: as in `[days]`

  /// The box a piece must fit: the room less its margins.
  Vec3 usable_mm() const {
    return {room_mm.x - 2 * margin_mm, room_mm.y - 2 * margin_mm, room_mm.z - top_margin_mm};
  }
};

template <class Settings, class Visitor>
requires same_settings<Settings, Printer>
void describe_room(Settings& printer, Visitor&& visit) {
  constexpr std::string_view kAssumed = "assumption";
  visit(printer.preset,
        FieldDoc{"preset", "small, mid, tall or round: fills what is left out", kAssumed});
  visit(printer.motion, FieldDoc{"motion", "slow or fast: fills what is left out", kAssumed});
  visit(printer.name, FieldDoc{"name", "what you call the printer", kAssumed});
  visit(printer.room_mm,
        FieldDoc{"room_mm", "width, depth and height it can print", kAssumed, 20, 3000});
  visit(printer.bed, FieldDoc{"bed", "rectangle or round", kAssumed});
  const auto blocked = [&](auto& side_mm, std::string_view key) {
    visit(side_mm, FieldDoc{key, "square of that corner kept free, for clips", kAssumed, 0, 200});
  };
  blocked(printer.blocked_front_left_mm, "blocked_front_left_mm");
  blocked(printer.blocked_front_right_mm, "blocked_front_right_mm");
  blocked(printer.blocked_back_left_mm, "blocked_back_left_mm");
  blocked(printer.blocked_back_right_mm, "blocked_back_right_mm");
  visit(printer.margin_mm,
        FieldDoc{"margin_mm", "kept free at each side of the bed", kAssumed, 0, 100});
  visit(printer.top_margin_mm,
        FieldDoc{"top_margin_mm", "kept free above the piece", kAssumed, 0, 100});
  visit(printer.nozzle_mm, FieldDoc{"nozzle_mm", "nozzle bore", kAssumed, 0.1, 2});
}

template <class Settings, class Visitor>
requires same_settings<Settings, Printer>
void describe_motion(Settings& printer, Visitor&& visit) {
  constexpr std::string_view kAssumed = "assumption";
  visit(printer.acceleration_mm_per_s2,
        FieldDoc{"acceleration_mm_per_s2", "the figure that matters most for time", kAssumed, 10,
                 100000});
  const auto own = [&](auto& acceleration, std::string_view key) {
    visit(acceleration, FieldDoc{key, "empty: as the rest", kAssumed, 10, 100000});
  };
  own(printer.outer_wall_acceleration_mm_per_s2, "outer_wall_acceleration_mm_per_s2");
  own(printer.travel_acceleration_mm_per_s2, "travel_acceleration_mm_per_s2");
  own(printer.first_layer_acceleration_mm_per_s2, "first_layer_acceleration_mm_per_s2");
  visit(printer.corner_rule,
        FieldDoc{"corner_rule", "jerk, or deviation: junction deviation", kAssumed});
  visit(printer.corner_jerk_mm_per_s,
        FieldDoc{"corner_jerk_mm_per_s", "sudden change of speed allowed at corners", kAssumed, 0.1,
                 100});
  visit(printer.junction_deviation_mm,
        FieldDoc{"junction_deviation_mm", "how far a corner may be cut, for the rule deviation",
                 kAssumed, 0.001, 1});
  visit(printer.travel_mm_per_s,
        FieldDoc{"travel_mm_per_s", "speed of moves without filament", kAssumed, 1, 2000});
  visit(printer.retraction_mm,
        FieldDoc{"retraction_mm", "filament pulled back before a travel", kAssumed, 0, 20});
  visit(printer.retraction_mm_per_s,
        FieldDoc{"retraction_mm_per_s", "speed of that pull", kAssumed, 1, 300});
  visit(printer.retraction_from_mm,
        FieldDoc{"retraction_from_mm", "travels longer than this retract", kAssumed, 0, 100});
  visit(printer.feeder_acceleration_mm_per_s2,
        FieldDoc{"feeder_acceleration_mm_per_s2", "of the filament's feeder, for retractions",
                 kAssumed, 10, 100000});
  visit(printer.layer_change_s,
        FieldDoc{"layer_change_s", "lifting to the next layer", kAssumed, 0, 60});
  visit(printer.wall_mm_per_s,
        FieldDoc{"wall_mm_per_s", "its own speed of walls; empty: [print]'s", kAssumed, 1, 1000});
  visit(printer.fill_mm_per_s,
        FieldDoc{"fill_mm_per_s", "its own speed of skins and fill; empty: [print]'s", kAssumed, 1,
                 1000});
  visit(printer.flow_limit_mm3_per_s,
        FieldDoc{"flow_limit_mm3_per_s", "most plastic it melts; empty: the material's", kAssumed,
                 0.1, 200});
  visit(printer.start_and_finish_s,
        FieldDoc{"start_and_finish_s", "homing, first purge, parking", kAssumed, 0, 3600});
  visit(printer.time_factor_ratio,
        FieldDoc{"time_factor_ratio", "recorded over estimated time", kAssumed, 0.2, 5});
  visit(printer.mass_factor_ratio,
        FieldDoc{"mass_factor_ratio", "recorded over estimated mass", kAssumed, 0.2, 5});
  visit(printer.price_per_h,
        FieldDoc{"price_per_h", "what an hour of it costs: power, wear, rent, in your currency",
                 "yours", 0, 1000});
  visit(printer.awake,
        FieldDoc{"awake", "its own hours of swapping; empty: as in [days]", "yours"});
  visit(printer.home, FieldDoc{"home", "its own hours of running; empty: as in [days]", "yours"});
}

template <class Settings, class Visitor>
requires same_settings<Settings, Printer>
void describe(Settings& printer, Visitor&& visit) {
  describe_room(printer, visit);
  describe_motion(printer, visit);
}

}  // namespace seamwright
