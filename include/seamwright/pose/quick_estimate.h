#pragma once

#include "seamwright/mesh/solid.h"
#include "seamwright/pose/pose.h"
#include "seamwright/profile/material.h"
#include "seamwright/profile/print_settings.h"

namespace seamwright {

/// Time and plastic without laying lines: for poses and the seam search.
struct QuickEstimate {
  double print_s = 0;
  double mass_g = 0;
  double support_g = 0;
};

/// By layers' areas and perimeters (PRINTING's quick estimate): mean error 6.6 % of the full model,
/// worst 15 % on a panel. O(faces + layers).
QuickEstimate quick_estimate(const Solid& solid, const Pose& pose, const Printer& printer,
                             const Material& material, const PrintSettings& print);

}  // namespace seamwright
