#pragma once

#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"
#include "seamwright/printing/lay_lines.h"
#include "seamwright/printing/line_kind.h"
#include "seamwright/profile/material.h"
#include "seamwright/profile/print_settings.h"
#include "seamwright/profile/printer.h"

namespace seamwright {

/// The result of laying every line of a piece and driving it through the motion model.
struct PrintEstimate {
  double print_s = 0;  ///< with heating, travel, retraction, start and finish, and the printer's
                       ///< fitted factor
  double filament_mm = 0;  ///< of the filament's diameter, support and brim included
  double mass_g = 0;       ///< support and brim included
  double support_g = 0;
  double line_mm[kLineKindCount] = {};  ///< length laid, by kind
  double kind_s[kLineKindCount] = {};   ///< time laying, by kind
  double kind_filament_mm[kLineKindCount] = {};
  double travel_mm = 0, travel_s = 0, retraction_s = 0;
  double layer_change_s = 0;                   ///< between layers, all together
  double start_s = 0;                          ///< heating, homing and finish
  double model_print_s = 0, model_mass_g = 0;  ///< before the printer's fitted factors
  std::size_t layer_count = 0, open_chain_count = 0;
  std::vector<double> layer_s;  ///< time of each layer, the change to it included
};

/// Slices the solid in bed coordinates (`bed_from_part`, bed at z = 0), lays walls, skins, fill,
/// support and brim as lines, and drives them through planned motion. Not a volume formula.
/// `time_factor_ratio` scales print_s alone, `mass_factor_ratio` filament_mm, mass_g and support_g;
/// all other figures are the model's own. Deterministic on any thread count. Errors: "bad-profile"
/// (names the key and its range), "below-bed", "inside-out", "cancelled". Cost: 0.3 to 4 ms a layer
/// and thread, by how much outline and skin it has.
Result<PrintEstimate> estimate_print(const Solid& solid, const Transform& bed_from_part,
                                     const Printer& printer, const Material& material,
                                     const PrintSettings& print, const Run& run = {});

/// The second step of estimate_print alone: times lines laid before, for other speeds, limits or
/// filament. Requires valid settings. Errors: "cancelled". A few ms a piece.
Result<PrintEstimate> time_lines(const LaidPiece& piece, const Printer& printer,
                                 const Material& material, const PrintSettings& print,
                                 const Run& run = {});

/// Whether the settings make sense, alone and together. Errors: "bad-profile", naming the key, its
/// value and the allowed range: every field's own range, a line at least as wide as the nozzle, no
/// layer thicker than the nozzle.
Status check_profile(const Printer& printer, const Material& material, const PrintSettings& print);

}  // namespace seamwright
