#pragma once

#include <array>
#include <optional>

#include "joints/hidden_ground.h"

namespace seamwright::joints {

/// How a strap is made. Assumptions, but for the section 20 × 2, which was measured on a 3 mm shell
/// (JOINTS).
struct StrapRules {
  double width_mm = 20, thickness_mm = 2;
  double gap_mm = 0.15;         ///< for glue, over the skin
  double least_length_mm = 12;  ///< shorter ones are not worth gluing
  double longest_mm = 150;      ///< of one strap; longer seams get several
  double between_mm = 2;        ///< from one strap to the next
};

inline constexpr std::size_t kStrapColumns = 12;

/// One section of a strap across the seam: points under and over it, from the below piece's side to
/// the above piece's.
struct StrapSection {
  std::array<Vec3, kStrapColumns> ground, under, over;
  Vec3 out;
  bool is_good = false;
};

/// Sections along one stretch of hidden edge. A section is good when each of its points lies over
/// hidden skin of the right piece, steps no steeper than 75°, when the strap does not fold there,
/// and keeps off the part: at least a third of the gap under it, most of its thickness over it, no
/// edge of it through the part's surface.
std::vector<StrapSection> strap_sections(const std::vector<EdgePoint>& stretch, const Plane& plane,
                                         const Solid& above, const RayTree& above_tree,
                                         const Solid& below, const RayTree& below_tree,
                                         const HiddenGround& ground, const StrapRules& rules);

/// The solid between the sections' under and over sides. Its two long sides lie in planes parallel
/// to the seam, so that it stands on either. Requires two sections or more.
Solid strap_solid(std::span<const StrapSection> sections, Origin origin);

}  // namespace seamwright::joints
