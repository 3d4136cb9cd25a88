#pragma once

#include <memory>

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

namespace pose_detail {
struct QuickMemory;
}

/// All that the quick estimate needs of a posed solid: what no change of speeds, accelerations or
/// limits changes. Copies share it.
class QuickLayers {
 public:
  /// Looks at every face once; `print` gives the layers, skins and support. O(faces × layers each
  /// spans).
  QuickLayers(const Solid& solid, const Pose& pose, const PrintSettings& print);
  /// The estimate for a printer. Requires the layers, skins and support of the constructor's
  /// settings. O(layers): well under a millisecond.
  QuickEstimate timed(const Printer& printer, const Material& material,
                      const PrintSettings& print) const;

 private:
  std::shared_ptr<const pose_detail::QuickMemory> memory_;
};

/// One-shot form of QuickLayers. By layers' areas, perimeters and corners; against the full model
/// see the test QuickEstimate.AgreesWithTheFullModelOverTheReferenceParts.
QuickEstimate quick_estimate(const Solid& solid, const Pose& pose, const Printer& printer,
                             const Material& material, const PrintSettings& print);

}  // namespace seamwright
