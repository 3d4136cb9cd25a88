#pragma once

#include <array>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "seamwright/core/describe.h"
#include "seamwright/profile/joint_choice.h"

namespace seamwright {

/// What is done to a seam's shown edge: a V-groove for a filament weld, one for filler, or nothing.
enum class SeamEdge { none, weld, filler };

constexpr std::array<std::pair<std::string_view, SeamEdge>, 3> names(SeamEdge) {
  return {{{"none", SeamEdge::none}, {"weld", SeamEdge::weld}, {"filler", SeamEdge::filler}}};
}

/// The thread of heat-set inserts in flanges; none: M3 screws go through to nuts.
enum class InsertThread { none, m2, m2_5, m3, m4 };

constexpr std::array<std::pair<std::string_view, InsertThread>, 5> names(InsertThread) {
  return {{{"none", InsertThread::none},
           {"M2", InsertThread::m2},
           {"M2.5", InsertThread::m2_5},
           {"M3", InsertThread::m3},
           {"M4", InsertThread::m4}}};
}

/// How pieces are joined. `[joints]` in the job file. Clearances are per side and belong to the
/// printer; assumptions until the printed gauge piece says better.
struct Joinery {
  KeyKind key = KeyKind::dowel;
  double press_clearance_mm = 0.05;
  double slide_clearance_mm = 0.15;
  double loose_clearance_mm = 0.30;
  double lying_hole_extra_mm = 0.1;  ///< more for holes printed lying
  double relief_mm = 0.4;  ///< elephant-foot relief, 45°, on joint faces that lie on the bed
  SeamEdge edge = SeamEdge::none;
  double strap_width_mm = 20;  ///< across the seam
  double strap_thickness_mm = 2;
  double magnet_diameter_mm = 6;  ///< disc magnets of travel joints
  double magnet_height_mm = 3;
  InsertThread insert = InsertThread::none;  ///< of flanges' screws
  double insert_mpa = 5;                     ///< allowable shear of the plastic round an insert
  double spacing_mm = 120;                   ///< between the keys of a long seam, at most
  double tongue_wall_mm = 5;                 ///< joint faces as wide get tongues
  double lap_wall_mm = 4;                    ///< walls from this get step laps
  double wall_to_skin_mm = 1.2;  ///< plastic kept between a hole and the skin, or another hole
  double glue_mpa = 5;           ///< allowable pull on the glue line
  double handling_ratio = 5;     ///< times the weight, for strength
  double mark_height_mm = 6;
  double mark_depth_mm = 0.4;
  bool has_marks = true;
  std::vector<JointChoice> choices;  ///< `[[joint]]`, over `key`; a later one over an earlier
  std::vector<std::string> travel_seams = {};  ///< of `[travel]`: their joints never get glue
};

template <class Settings, class Visitor>
requires same_settings<Settings, Joinery>
void describe(Settings& joinery, Visitor&& visit) {
  constexpr std::string_view kAssumed = "assumption";
  visit(joinery.key,
        FieldDoc{"key", "dowel, pin, tongue, lap, strap, none; flange or magnet: comes apart again",
                 kAssumed});
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
  visit(joinery.edge,
        FieldDoc{"edge", "V-groove along shown seams: none, weld (2.2 x 1.1) or filler (1.0 x 0.6)",
                 "common practice, no source"});
  visit(joinery.strap_width_mm,
        FieldDoc{"strap_width_mm", "of a strap, across the seam", kAssumed, 8, 60});
  visit(joinery.strap_thickness_mm, FieldDoc{"strap_thickness_mm", "of a strap", kAssumed, 0.8, 8});
  visit(joinery.magnet_diameter_mm,
        FieldDoc{"magnet_diameter_mm", "of the disc magnets in joints that come apart",
                 "yours; the seat is 0.15 mm wider and 0.2 mm deeper: common practice", 2, 30});
  visit(joinery.magnet_height_mm, FieldDoc{"magnet_height_mm", "their height", "yours", 0.5, 20});
  visit(joinery.insert,
        FieldDoc{"insert", "heat-set inserts in flanges: none (M3 and nuts), M2, M2.5, M3, M4",
                 "yours; bores: common practice, from memory, the maker's sheet overrides"});
  visit(joinery.insert_mpa,
        FieldDoc{"insert_mpa", "what the plastic round an insert may bear, sheared",
                 "assumption: a fifth of PLA across its layers, 26 MPa by a printer maker's sheet",
                 0.1, 100});
  visit(joinery.spacing_mm,
        FieldDoc{"spacing_mm", "between the keys of a row along a long seam, at most", kAssumed, 20,
                 1000});
  visit(joinery.tongue_wall_mm,
        FieldDoc{"tongue_wall_mm", "joint faces nowhere as wide get one only by name",
                 "own prototypes: lips of 0.85 in 3 mm are fragile", 2.5, 20});
  visit(joinery.lap_wall_mm,
        FieldDoc{"lap_wall_mm", "thinner walls get no step lap",
                 "own prototypes: lips of 1.35 in 3 mm hold, more is better", 2.5, 20});
  visit(joinery.wall_to_skin_mm,
        FieldDoc{"wall_to_skin_mm", "plastic kept round every hole", kAssumed, 0.4, 20});
  visit(joinery.glue_mpa,
        FieldDoc{"glue_mpa", "what a glue line may bear, pulled; take your glue's sheet",
                 "assumption; the adhesive explains 92 % of the scatter of published tests (Oz and "
                 "Ozturk, Weld. World 69 (2025) 2869, abstract)",
                 0.1, 100});
  visit(joinery.handling_ratio,
        FieldDoc{"handling_ratio", "times its weight: picked up, knocked", kAssumed, 1, 50});
  visit(joinery.mark_height_mm,
        FieldDoc{"mark_height_mm", "height of engraved marks", kAssumed, 3, 30});
  visit(joinery.mark_depth_mm,
        FieldDoc{"mark_depth_mm", "depth of engraved marks", kAssumed, 0.1, 3});
  visit(joinery.has_marks, FieldDoc{"has_marks", "engrave marks on joint faces", kAssumed});
}

}  // namespace seamwright
