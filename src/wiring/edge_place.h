#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "seamwright/query/ray_tree.h"
#include "wiring/skin_way.h"

namespace seamwright::wiring_detail {

/// One face's side of an edge: its vertices, the lower in the upper 32 bits, and where it lies.
struct EdgeSide {
  std::uint64_t ends;
  std::uint32_t face, side;
};
/// Sides of the wanted faces, those of one edge side by side, by face. O(n log n).
std::vector<EdgeSide> edge_sides(const Solid& part, const std::vector<bool>& is_wanted);

/// Where a wire leaves at an edge of the part.
struct EdgePlace {
  Vec3 point;
  Vec3 inward;  ///< unit, along the skin squarely away from the edge, or into the body
};

/// The middle of the narrow side of a wall or plate nearest to `near`: between two sharp edges
/// (40° and more) at least `2 clear_mm` and at most 24 mm apart, with more plastic behind than
/// between them. O(faces · log n).
std::optional<EdgePlace> nearest_narrow_side(const Solid& part, const RayTree& body, Vec3 near,
                                             double clear_mm);

/// The place on the hidden skin nearest to `near` that lies `inset_mm` from a sharp edge, on the
/// broader of the edge's two sides. O(faces · log n).
std::optional<EdgePlace> nearest_rim(const Solid& part, const RayTree& body, const HiddenSkin& skin,
                                     Vec3 near, double inset_mm);

}  // namespace seamwright::wiring_detail
