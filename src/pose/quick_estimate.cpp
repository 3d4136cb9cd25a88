#include "seamwright/pose/quick_estimate.h"

#include <algorithm>

#include "pose/layer_cost.h"
#include "seamwright/profile/printer_presets.h"

namespace seamwright {

namespace pose_detail {

struct QuickMemory {
  LayerGrid grid;
  std::vector<LayerSums> layers;
};

}  // namespace pose_detail

namespace {

using namespace pose_detail;

double top_of(const Solid& solid, const Transform& bed_from_part) {
  double top_mm = 0;
  for (const Vec3 p : solid.points()) top_mm = std::max(top_mm, bed_from_part.apply(p).z);
  return top_mm;
}

}  // namespace

QuickLayers::QuickLayers(const Solid& solid, const Pose& pose, const PrintSettings& print) {
  const LayerGrid grid(top_of(solid, pose.bed_from_part), print);
  std::vector<LayerSums> layers = sum_layers(solid, pose.bed_from_part, grid, print);
  spread_skins(layers, print.top_layers, print.bottom_layers);
  memory_ = std::make_shared<const QuickMemory>(QuickMemory{grid, std::move(layers)});
}

QuickEstimate QuickLayers::timed(const Printer& printer, const Material& shared_material,
                                 const PrintSettings& shared_print) const {
  const PrintSettings print = settings_on(printer, shared_print);
  const Material material = material_on(printer, shared_material);
  const Settings settings{printer, material, print};
  LayerCost total;
  for (std::size_t k = 0; k < memory_->layers.size(); ++k) {
    const LayerCost layer =
        layer_cost(memory_->layers[k], k, memory_->grid.thickness_mm(k), settings);
    total.print_s += layer.print_s;
    total.plastic_mm3 += layer.plastic_mm3;
    total.support_mm3 += layer.support_mm3;
  }
  const double g_per_mm3 = material.density_g_per_cm3 / 1000 * printer.mass_factor_ratio;
  return {
      (total.print_s + print.heating_s + printer.start_and_finish_s) * printer.time_factor_ratio,
      total.plastic_mm3 * g_per_mm3, total.support_mm3 * g_per_mm3};
}

QuickEstimate quick_estimate(const Solid& solid, const Pose& pose, const Printer& printer,
                             const Material& material, const PrintSettings& print) {
  return QuickLayers(solid, pose, print).timed(printer, material, print);
}

}  // namespace seamwright
