#pragma once

#include "pose/layer_sums.h"
#include "seamwright/profile/material.h"

namespace seamwright::pose_detail {

/// Time and plastic of one layer.
struct LayerCost {
  double print_s = 0;
  double plastic_mm3 = 0;  ///< support included
  double support_mm3 = 0;
};

struct Settings {
  const Printer& printer;
  const Material& material;
  const PrintSettings& print;
};

/// One layer's lines by their lengths, no line being laid: walls and gap lines from the section's
/// area, perimeter and corners; skins, sparse fill and support as mean chords.
LayerCost layer_cost(const LayerSums& layer, std::size_t number, double thickness_mm,
                     const Settings& settings);

}  // namespace seamwright::pose_detail
