#pragma once

#include <vector>

#include "seams/plan_tree.h"

namespace seamwright::search {

/// Hours of a seam at evenly spaced offsets across a body, for one normal.
struct BodySweep {
  Vec3 normal;
  double low_mm = 0, high_mm = 0;  ///< the body's extent along the normal
  double step_mm = 0;
  std::vector<double> hours;  ///< at low + step, low + 2 step, … below high
  double offset_at(std::size_t i) const { return low_mm + step_mm * static_cast<double>(i + 1); }
  Plane plane_at(std::size_t i) const { return {normal, offset_at(i)}; }
};

/// Each face adds its chord, a hat over the offsets it spans: O(faces + crossings).
BodySweep sweep_body(const ClipBody& body, Vec3 normal, std::size_t offset_count,
                     PlanPricer& pricer);

/// As sweep_body, with offsets `step_mm` apart from the body's lowest point.
BodySweep sweep_body_by_steps(const ClipBody& body, Vec3 normal, double step_mm,
                              PlanPricer& pricer);

}  // namespace seamwright::search
