#include "seamwright/wear/finishing.h"

namespace seamwright {

FinishNeeds finish_needs(const FinishInput& input, const FinishChoice& choice) {
  const double more = 1 + choice.waste_ratio;
  const double groove_mm3 = choice.groove_width_mm * choice.groove_depth_mm / 2 * input.shown_mm;
  const double fairing_mm3 = choice.fairing_mm * choice.fairing_depth_mm / 2 * input.shown_mm;
  const double shown_m = input.shown_mm / 1000, hidden_m = input.hidden_mm / 1000;
  const double skin_m2 = input.skin_mm2 / 1e6;
  FinishNeeds needs;
  needs.weld_g = choice.has_weld ? groove_mm3 / 1000 * input.density_g_per_cm3 * more : 0;
  needs.filler_ml = (fairing_mm3 + (choice.has_weld ? 0 : groove_mm3)) / 1000 * more;
  needs.glue_ml = input.joint_mm2 * choice.glue_mm / 1000 * more;
  needs.primer_ml = skin_m2 * choice.primer_coats * choice.primer_ml_per_m2 * more;
  needs.glue_h = static_cast<double>(input.joint_count) * choice.joint_h;
  needs.weld_h = choice.has_weld ? shown_m * choice.weld_h_per_m : 0;
  needs.fill_h = shown_m * choice.fill_h_per_m;
  needs.sand_h = shown_m * choice.sand_h_per_m + hidden_m * choice.hidden_h_per_m;
  needs.prime_h = skin_m2 * choice.prime_h_per_m2;
  return needs;
}

}  // namespace seamwright
