#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "cut/cap_fill.h"
#include "seamwright/mesh/solid.h"

namespace seamwright::cut_detail {

/// Corners of one half's triangle: its own points first, then the points in the plane.
using HalfTriangle = std::array<std::uint32_t, 3>;

/// One open half: the points strictly on its side, and its faces. An index at or above
/// `points.size()` means the plane point of the split at the index less that.
struct HalfFaces {
  std::vector<Vec3> points;
  std::vector<HalfTriangle> triangles;
  std::vector<Origin> origins;
};

/// A solid divided at a plane and not yet capped. The halves share `plane_points`: vertices at
/// zero, and one point for each mesh edge that crosses.
struct PlaneSplit {
  HalfFaces above, below;
  std::vector<Vec3> plane_points;
  std::size_t zero_count = 0;      ///< plane points that are vertices of the solid; they come first
  std::vector<SectionEdge> edges;  ///< plane edges that the above half leaves open, weights not 0
};

/// Opposite pairs cancel; what is left is directed along its positive weight. O(n log n).
void cancel_opposites(std::vector<SectionEdge>& edges);

/// Divides a solid's faces; see plane_cut for the rule. O(faces + s log s).
PlaneSplit split_faces(const Solid& solid, const Plane& plane);

}  // namespace seamwright::cut_detail
