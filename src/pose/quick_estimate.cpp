#include "seamwright/pose/quick_estimate.h"

#include <algorithm>

#include "pose/layer_cost.h"

namespace seamwright {
namespace {

using namespace pose_detail;

double top_of(const Solid& solid, const Transform& bed_from_part) {
  double top_mm = 0;
  for (const Vec3 p : solid.points()) top_mm = std::max(top_mm, bed_from_part.apply(p).z);
  return top_mm;
}

}  // namespace

QuickEstimate quick_estimate(const Solid& solid, const Pose& pose, const Printer& printer,
                             const Material& material, const PrintSettings& print) {
  const Settings settings{printer, material, print};
  const LayerGrid grid(top_of(solid, pose.bed_from_part), print);
  std::vector<LayerSums> layers =
      sum_layers(solid, pose.bed_from_part, grid, print, drive_of(settings));
  spread_skins(layers, print.top_layers, print.bottom_layers);
  LayerCost total;
  for (std::size_t k = 0; k < layers.size(); ++k) {
    const LayerCost layer = layer_cost(layers[k], k, grid.thickness_mm(k), settings);
    total.print_s += layer.print_s;
    total.plastic_mm3 += layer.plastic_mm3;
    total.support_mm3 += layer.support_mm3;
  }
  const double g_per_mm3 = material.density_g_per_cm3 / 1000 * printer.mass_factor_ratio;
  return {
      (total.print_s + print.heating_s + printer.start_and_finish_s) * printer.time_factor_ratio,
      total.plastic_mm3 * g_per_mm3, total.support_mm3 * g_per_mm3};
}

}  // namespace seamwright
