#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright::cut_detail {

/// A directed edge of a section, material on its left, counted `weight` times.
struct SectionEdge {
  std::uint32_t from = 0, to = 0;
  int weight = 1;
};

/// A section edge that the fill had to divide: `between` lie on it, in order from `from` to `to`.
struct DividedEdge {
  std::uint32_t from = 0, to = 0;
  std::vector<std::uint32_t> between;
};

/// The triangulated inside of a section.
struct CapFill {
  std::vector<Vec2> points;  ///< the input's, then those where edges cross
  std::vector<std::array<std::uint32_t, 3>> triangles;  ///< counter-clockwise where material is
                                                        ///< counted up; once per winding
  std::vector<std::uint32_t> same_as;  ///< empty, or for each input point the one it coincides with
  std::vector<DividedEdge> divided;    ///< in terms of the points that `same_as` names
};

/// Fills the plane's regions as often as the edges wind around them (negative: clockwise), by
/// constrained Delaunay triangulation. Requires: at every point as many edges (weights counted)
/// arrive as leave. Guarantees: the triangles' directed edges add up to the input's, divided edges
/// replaced by their chains; any crossing, overlapping or touching is resolved exactly. O(n log n),
/// with exact numbers (some 20 times slower) only when edges cross or points lie on edges.
CapFill fill_cap(const std::vector<Vec2>& points, const std::vector<SectionEdge>& edges);

}  // namespace seamwright::cut_detail
