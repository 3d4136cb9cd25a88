#pragma once

#include <span>
#include <vector>

#include "seamwright/joints/key_pieces.h"

namespace seamwright {

/// How large a groove is, by preset: wide enough for a filament weld, or for filler. Common
/// practice, no source.
struct GrooveSize {
  double width_mm = 0, depth_mm = 0;
};
GrooveSize groove_size(SeamEdge edge);

/// V-grooves along the seams' shown edges: tools to take from the part before it is cut.
struct EdgeGrooves {
  std::vector<Solid> tools;
  double asked_mm = 0;       ///< of shown edge
  double grooved_mm = 0;     ///< of it, with a groove
  double deepest_ratio = 0;  ///< of the wall there
};

/// Triangles with a flat of 0.1 mm at their bottom, swept along the shown edges of the joint faces,
/// half a millimetre over the skin, square to it, at most 40 % of the wall deep; left out where the
/// wall is under 1.2 mm and round corners too sharp for them. Deterministic on any thread count.
EdgeGrooves plan_edge_grooves(const SeamPlan& plan, std::span<const JointFace> faces,
                              const HiddenSkin& hidden, SeamEdge edge, const Run& run = {});

}  // namespace seamwright
