#pragma once

#include <vector>

#include "seamwright/core/region.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// One closed chain of a plane's section, in PlaneFrame(plane)'s (u, v); material on its left.
/// `faces[i]` is the face whose crossing makes the edge points[i] → points[i+1].
struct SectionLoop {
  Loop2 points;
  std::vector<FaceId> faces;
};

/// The section of a solid with a plane, chained along mesh edges by the half-open rule (a vertex at
/// distance ≥ 0 is above), so that no chain of a Solid stays open. O(faces).
std::vector<SectionLoop> section(const Solid& solid, const Plane& plane);

}  // namespace seamwright
