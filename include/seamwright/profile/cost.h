#pragma once

#include <optional>
#include <string>

#include "seamwright/core/describe.h"

namespace seamwright {

/// The weights of the objective, in hours of the maker's own work. `[cost]` in the job file. The
/// preset named by `weights` fills what the file leaves out: raw, painted, show, table.
struct CostWeights {
  std::string weights = "painted";
  double shown_h_per_cm = 0.04;
  double hidden_h_per_cm = 0.007;
  double piece_h = 0.5;
  double support_h_per_cm2 = 0.004;  ///< removing support and its scars, by supported skin area
  double first_layer_failure_ratio = 0.03;
  double failure_per_h = 0.004;
  double failure_h = 0.25;   ///< the maker's own time each failed print costs
  double over_window_h = 4;  ///< each print hour beyond the longest window of a piece
  double detail_ratio = 3;   ///< a seam over letters, rivets, eyes
  double line_ratio = 0.25;  ///< a seam in a panel line or crease: it looks meant
  double loose_joint_h = 1;  ///< a joint without room for a key or strap: glued butt, held by hand
  // What decides how a piece stands, beside support and failures:
  double print_h_per_h = 0.02;    ///< minding a printer, by print hour
  double scar_h_per_cm2 = 0.01;   ///< sanding the marks of support on skin that is seen
  double step_h_per_cm2 = 0.004;  ///< sanding stair-steps on shallow skin that is seen
  double weak_joint_h = 0.1;      ///< all joints pulled straight across the layers
  double warped_foot_h = 0.5;     ///< a foot of 200 mm that warps as ABS does
};

template <class Settings, class Visitor>
requires same_settings<Settings, CostWeights>
void describe(Settings& cost, Visitor&& visit) {
  constexpr std::string_view kAssumed = "assumption";
  visit(cost.weights, FieldDoc{"weights", "preset: raw, painted, show or table", kAssumed});
  visit(cost.shown_h_per_cm,
        FieldDoc{"shown_h_per_cm", "work on a seam that is seen", kAssumed, 0, 100});
  visit(cost.hidden_h_per_cm,
        FieldDoc{"hidden_h_per_cm", "work on a seam that is not seen", kAssumed, 0, 100});
  visit(cost.piece_h, FieldDoc{"piece_h", "handling each piece", kAssumed, 0, 100});
  visit(cost.support_h_per_cm2,
        FieldDoc{"support_h_per_cm2", "removing support and its scars", kAssumed, 0, 100});
  visit(cost.first_layer_failure_ratio,
        FieldDoc{"first_layer_failure_ratio", "share of prints lost at the first layer", kAssumed,
                 0, 0.9});
  visit(cost.failure_per_h,
        FieldDoc{"failure_per_h", "rate of failures while printing", kAssumed, 0, 1});
  visit(cost.failure_h,
        FieldDoc{"failure_h", "your own time a failed print costs", kAssumed, 0, 100});
  visit(
      cost.over_window_h,
      FieldDoc{"over_window_h", "a print hour beyond [search] longest_print_h", kAssumed, 0, 100});
  visit(cost.detail_ratio,
        FieldDoc{"detail_ratio", "a seam over letters, rivets, eyes, times", kAssumed, 0, 100});
  visit(cost.line_ratio,
        FieldDoc{"line_ratio", "a seam in a panel line or crease, times", kAssumed, 0, 100});
  visit(cost.loose_joint_h,
        FieldDoc{"loose_joint_h", "a joint without room for a key, between plans that are compared",
                 kAssumed, 0, 100});
  visit(cost.print_h_per_h,
        FieldDoc{"print_h_per_h", "minding a printer, by print hour", kAssumed, 0, 1});
  visit(cost.scar_h_per_cm2,
        FieldDoc{"scar_h_per_cm2", "sanding support's marks on seen skin", kAssumed, 0, 100});
  visit(cost.step_h_per_cm2,
        FieldDoc{"step_h_per_cm2", "sanding stair-steps on shallow seen skin", kAssumed, 0, 100});
  visit(cost.weak_joint_h,
        FieldDoc{"weak_joint_h", "joints pulled straight across the layers", kAssumed, 0, 100});
  visit(cost.warped_foot_h,
        FieldDoc{"warped_foot_h", "a foot of 200 mm that warps as ABS does", kAssumed, 0, 100});
}

/// The weights of a preset; an unknown name gives nothing. "table" is 0.02 / 0.002 h/cm, 0.5 h a
/// piece and nothing else.
std::optional<CostWeights> preset_weights(const std::string& name);

}  // namespace seamwright
