#pragma once

#include <array>
#include <string_view>
#include <utility>

#include "seamwright/core/describe.h"

namespace seamwright {

enum class KeyKind { dowel, pin, tongue, lap, strap, none };

constexpr std::array<std::pair<std::string_view, KeyKind>, 6> names(KeyKind) {
  return {{{"dowel", KeyKind::dowel},
           {"pin", KeyKind::pin},
           {"tongue", KeyKind::tongue},
           {"lap", KeyKind::lap},
           {"strap", KeyKind::strap},
           {"none", KeyKind::none}}};
}

/// How pieces are joined. `[joints]` in the job file. Clearances are per side and belong to the
/// printer; assumptions until the printed gauge piece says better.
struct Joinery {
  KeyKind key = KeyKind::dowel;
  double press_clearance_mm = 0.05;
  double slide_clearance_mm = 0.15;
  double loose_clearance_mm = 0.30;
  double lying_hole_extra_mm = 0.1;  ///< more for holes printed lying
  double relief_mm = 0.4;        ///< elephant-foot relief, 45°, on joint faces that lie on the bed
  double wall_to_skin_mm = 1.2;  ///< plastic kept between a hole and the skin, or another hole
  double mark_height_mm = 6;
  double mark_depth_mm = 0.4;
  bool has_marks = true;
};

template <class Settings, class Visitor>
requires same_settings<Settings, Joinery>
void describe(Settings& joinery, Visitor&& visit) {
  constexpr std::string_view kAssumed = "assumption";
  visit(joinery.key, FieldDoc{"key", "dowel, pin, tongue, lap, strap or none", kAssumed});
  visit(joinery.press_clearance_mm,
        FieldDoc{"press_clearance_mm", "per side, pressed in", kAssumed, 0, 2});
  visit(joinery.slide_clearance_mm,
        FieldDoc{"slide_clearance_mm", "per side, slides or is glued", kAssumed, 0, 2});
  visit(joinery.loose_clearance_mm,
        FieldDoc{"loose_clearance_mm", "per side, loose", kAssumed, 0, 2});
  visit(joinery.lying_hole_extra_mm,
        FieldDoc{"lying_hole_extra_mm", "more for holes printed lying", kAssumed, 0, 2});
  visit(joinery.relief_mm,
        FieldDoc{"relief_mm", "bevel against the first layer's bulge", kAssumed, 0, 3});
  visit(joinery.wall_to_skin_mm,
        FieldDoc{"wall_to_skin_mm", "plastic kept round every hole", kAssumed, 0.4, 20});
  visit(joinery.mark_height_mm,
        FieldDoc{"mark_height_mm", "height of engraved marks", kAssumed, 3, 30});
  visit(joinery.mark_depth_mm,
        FieldDoc{"mark_depth_mm", "depth of engraved marks", kAssumed, 0.1, 3});
  visit(joinery.has_marks, FieldDoc{"has_marks", "engrave marks on joint faces", kAssumed});
}

}  // namespace seamwright
