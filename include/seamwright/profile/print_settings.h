#pragma once

#include <array>
#include <optional>
#include <string_view>
#include <utility>

#include "seamwright/core/describe.h"

namespace seamwright {

/// How the inside is hatched: one direction a layer, turned each layer, or both crossed in each.
enum class FillPattern { lines, grid };

constexpr std::array<std::pair<std::string_view, FillPattern>, 2> names(FillPattern) {
  return {{{"lines", FillPattern::lines}, {"grid", FillPattern::grid}}};
}

/// How layers are filled and driven. `[print]` in the job file. Speeds left empty follow
/// `nominal_mm_per_s` by the shares of PRINTING's defaults (see the accessors).
struct PrintSettings {
  double layer_mm = 0.2;
  double first_layer_mm = 0.2;
  double line_width_mm = 0.4;
  int wall_count = 3;
  int top_layers = 4;
  int bottom_layers = 4;
  double fill_ratio = 0.15;
  FillPattern fill_pattern = FillPattern::lines;
  double brim_mm = 0;
  double corner_pad_mm = 0;  ///< diameter of the pads under corners that lift; none when zero
  bool has_support = true;
  double support_angle_deg =
      45;  ///< faces flatter than this from the horizontal, facing down, get support
  double support_ratio = 0.15;  ///< share of the supported column that is plastic
  double nominal_mm_per_s = 50;
  std::optional<double> outer_wall_mm_per_s, inner_wall_mm_per_s, solid_fill_mm_per_s,
      top_skin_mm_per_s, sparse_fill_mm_per_s, gap_mm_per_s, support_mm_per_s, bridge_mm_per_s;
  double first_layer_mm_per_s = 20;
  double shortest_layer_s = 8;
  double slowest_mm_per_s = 10;  ///< the shortest-layer rule never goes below this
  double heating_s = 180;

  double outer_wall_speed() const { return outer_wall_mm_per_s.value_or(0.5 * nominal_mm_per_s); }
  double inner_wall_speed() const { return inner_wall_mm_per_s.value_or(0.8 * nominal_mm_per_s); }
  double solid_fill_speed() const { return solid_fill_mm_per_s.value_or(0.5 * nominal_mm_per_s); }
  double top_skin_speed() const { return top_skin_mm_per_s.value_or(0.5 * nominal_mm_per_s); }
  double sparse_fill_speed() const { return sparse_fill_mm_per_s.value_or(nominal_mm_per_s); }
  double gap_speed() const { return gap_mm_per_s.value_or(outer_wall_speed()); }
  double bridge_speed() const { return bridge_mm_per_s.value_or(solid_fill_speed()); }
  double support_speed() const { return support_mm_per_s.value_or(sparse_fill_speed()); }
};

template <class Settings, class Visitor>
requires same_settings<Settings, PrintSettings>
void describe(Settings& print, Visitor&& visit) {
  constexpr std::string_view kAssumed = "assumption";
  visit(print.layer_mm, FieldDoc{"layer_mm", "layer height", kAssumed, 0.04, 1.5});
  visit(print.first_layer_mm,
        FieldDoc{"first_layer_mm", "height of the first layer", kAssumed, 0.04, 1.5});
  visit(print.line_width_mm, FieldDoc{"line_width_mm", "width of one line", kAssumed, 0.1, 3});
  visit(print.wall_count, FieldDoc{"wall_count", "lines around each layer", kAssumed, 1, 100});
  visit(print.top_layers, FieldDoc{"top_layers", "solid layers under a top", kAssumed, 0, 1000});
  visit(print.bottom_layers,
        FieldDoc{"bottom_layers", "solid layers over a bottom", kAssumed, 0, 1000});
  visit(print.fill_ratio,
        FieldDoc{"fill_ratio", "share of the inside that is filled, 0 to 1", kAssumed, 0, 1});
  visit(print.fill_pattern,
        FieldDoc{"fill_pattern", "lines: one direction a layer; grid: both in each", kAssumed});
  visit(print.brim_mm,
        FieldDoc{"brim_mm", "width of a brim around the first layer", kAssumed, 0, 50});
  visit(
      print.corner_pad_mm,
      FieldDoc{"corner_pad_mm",
               "diameter of one-layer pads under corners that the material lifts, 20 say; 0: none",
               kAssumed, 0, 100});
  visit(print.has_support, FieldDoc{"has_support", "print support under overhangs", kAssumed});
  visit(print.support_angle_deg,
        FieldDoc{"support_angle_deg", "faces flatter than this, facing down, are supported",
                 kAssumed, 0, 90});
  visit(
      print.support_ratio,
      FieldDoc{"support_ratio", "share of a supported column that is plastic", kAssumed, 0.01, 1});
  visit(print.nominal_mm_per_s,
        FieldDoc{"nominal_mm_per_s", "the speed the printer is run at", kAssumed, 1, 1000});
  visit(print.outer_wall_mm_per_s,
        FieldDoc{"outer_wall_mm_per_s", "empty: half of nominal", kAssumed, 1, 1000});
  visit(print.inner_wall_mm_per_s,
        FieldDoc{"inner_wall_mm_per_s", "empty: 0.8 of nominal", kAssumed, 1, 1000});
  visit(print.solid_fill_mm_per_s,
        FieldDoc{"solid_fill_mm_per_s", "empty: half of nominal", kAssumed, 1, 1000});
  visit(print.top_skin_mm_per_s,
        FieldDoc{"top_skin_mm_per_s", "empty: half of nominal", kAssumed, 1, 1000});
  visit(print.sparse_fill_mm_per_s,
        FieldDoc{"sparse_fill_mm_per_s", "empty: nominal", kAssumed, 1, 1000});
  visit(print.gap_mm_per_s,
        FieldDoc{"gap_mm_per_s", "lines in gaps; empty: as the outer wall", kAssumed, 1, 1000});
  visit(print.support_mm_per_s,
        FieldDoc{"support_mm_per_s", "empty: as sparse fill", kAssumed, 1, 1000});
  visit(print.bridge_mm_per_s,
        FieldDoc{"bridge_mm_per_s", "over nothing; empty: as solid fill", kAssumed, 1, 1000});
  visit(print.first_layer_mm_per_s,
        FieldDoc{"first_layer_mm_per_s", "speed of the first layer", kAssumed, 1, 1000});
  visit(print.shortest_layer_s,
        FieldDoc{"shortest_layer_s", "a layer takes at least this long", kAssumed, 0, 600});
  visit(print.slowest_mm_per_s,
        FieldDoc{"slowest_mm_per_s", "but is never printed slower than this", kAssumed, 0.5, 1000});
  visit(print.heating_s, FieldDoc{"heating_s", "heating up", kAssumed, 0, 3600});
}

}  // namespace seamwright
