#pragma once

#include <cstddef>

#include "seamwright/core/describe.h"

namespace seamwright {

/// `[finish]`: how seams are closed and the skin is finished, by the maker's own rates. No figure
/// for the time a length of seam takes is published, so all of them are assumptions.
struct FinishChoice {
  bool has_weld = true;
  double groove_width_mm = 2.2;
  double groove_depth_mm = 1.1;
  double fairing_mm = 20;
  double fairing_depth_mm = 0.3;
  double glue_mm = 0.15;
  int primer_coats = 2;
  double primer_ml_per_m2 = 120;
  double waste_ratio = 0.3;
  double joint_h = 0.15;
  double weld_h_per_m = 0.8;
  double fill_h_per_m = 0.7;
  double sand_h_per_m = 1.5;
  double hidden_h_per_m = 0.3;
  double prime_h_per_m2 = 0.6;
};

template <class Settings, class Visitor>
requires same_settings<Settings, FinishChoice>
void describe(Settings& finish, Visitor&& visit) {
  constexpr std::string_view kAssumed = "assumption";
  constexpr std::string_view kRate = "assumption; no published figure, put your own";
  visit(finish.has_weld,
        FieldDoc{"has_weld", "shown seams are welded with filament before filling", kAssumed});
  visit(finish.groove_width_mm,
        FieldDoc{"groove_width_mm", "of the V along a shown seam", kAssumed, 0, 20});
  visit(finish.groove_depth_mm, FieldDoc{"groove_depth_mm", "of that V", kAssumed, 0, 20});
  visit(finish.fairing_mm,
        FieldDoc{"fairing_mm", "width that filler is drawn out to", kAssumed, 0, 200});
  visit(finish.fairing_depth_mm,
        FieldDoc{"fairing_depth_mm", "filler in the middle of it", kAssumed, 0, 10});
  visit(finish.glue_mm, FieldDoc{"glue_mm", "thickness of glue in a joint", kAssumed, 0, 5});
  visit(finish.primer_coats, FieldDoc{"primer_coats", "coats of primer", kAssumed, 0, 20});
  visit(finish.primer_ml_per_m2,
        FieldDoc{"primer_ml_per_m2", "primer for a coat", kAssumed, 0, 2000});
  visit(finish.waste_ratio,
        FieldDoc{"waste_ratio", "more of each for what is sanded off or dries up", kAssumed, 0, 5});
  visit(finish.joint_h, FieldDoc{"joint_h", "gluing one joint", kRate, 0, 20});
  visit(finish.weld_h_per_m, FieldDoc{"weld_h_per_m", "welding shown seam", kRate, 0, 50});
  visit(finish.fill_h_per_m, FieldDoc{"fill_h_per_m", "filling shown seam", kRate, 0, 50});
  visit(finish.sand_h_per_m, FieldDoc{"sand_h_per_m", "sanding shown seam", kRate, 0, 50});
  visit(finish.hidden_h_per_m, FieldDoc{"hidden_h_per_m", "tidying hidden seam", kRate, 0, 50});
  visit(finish.prime_h_per_m2,
        FieldDoc{"prime_h_per_m2", "sanding and priming skin", kRate, 0, 50});
}

/// What there is to finish.
struct FinishInput {
  double shown_mm = 0, hidden_mm = 0;
  double skin_mm2 = 0;   ///< to be primed
  double joint_mm2 = 0;  ///< to be glued
  std::size_t joint_count = 0;
  double density_g_per_cm3 = 1.24;  ///< of the weld filament
};

struct FinishNeeds {
  double weld_g = 0, filler_ml = 0, glue_ml = 0, primer_ml = 0;
  double glue_h = 0, weld_h = 0, fill_h = 0, sand_h = 0, prime_h = 0;
  double all_h() const { return glue_h + weld_h + fill_h + sand_h + prime_h; }
};

/// Amounts and hours by the choice's rates. A groove is a V: half of width times depth; it is
/// filled by weld filament, or by filler without a weld. The fairing is a flat triangle over the
/// seam. All amounts have `waste_ratio` on top. O(1).
FinishNeeds finish_needs(const FinishInput& input, const FinishChoice& choice = {});

}  // namespace seamwright
