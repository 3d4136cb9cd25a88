#pragma once

#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/handoff/picture.h"

namespace seamwright {

/// A body in a line drawing: moved rigidly, with a name written beside it (none: no name).
struct DrawnBody {
  const Solid* solid = nullptr;
  Transform placement;
  std::string name;
};

/// A straight dash-dotted line of the drawing, as from a hole to its rod. Never hidden.
struct DrawnPath {
  Vec3 from, to;
};

/// A drawing of bodies by their edges, as SVG 1.1: outlines against what lies behind, edges sharper
/// than 40° and the rims of joint faces, keys and channels; what is hidden is left out. Parallel
/// projection. Coordinates are rounded to a tenth of a pixel; the same bytes on any thread count.
/// Requires a body with faces. O(edges · log faces).
std::string line_drawing_svg(const std::vector<DrawnBody>& bodies,
                             const std::vector<DrawnPath>& paths, Vec3 from_target,
                             PictureSize size, const Run& run = {});

}  // namespace seamwright
