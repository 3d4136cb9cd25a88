#pragma once

#include <span>
#include <vector>

#include "seamwright/joints/key_pieces.h"

namespace seamwright {

/// How a flange is made. Assumptions, but for the section 8 × 3, which was measured on a 3 mm
/// shell.
struct FlangeRules {
  double height_mm = 8;         ///< over the hidden skin
  double thickness_mm = 3;      ///< on each piece
  double screw_mm = 3.4;        ///< clearance hole of an M3 screw; common practice, no source
  double spacing_mm = 40;       ///< between screws, at most
  double least_length_mm = 20;  ///< shorter flanges are left out
};

/// One joint's flange before the part is cut: ridges along the seam on the hidden skin that the cut
/// will halve, and the screws' holes through them.
struct Flange {
  std::size_t joint = 0;  ///< position in the faces given
  std::vector<Solid> ridges, drills;
  std::vector<Vec3> holes;  ///< on the seam's plane
  double length_mm = 0;
};

/// Flanges for the joint faces named in `wanted`, along their edges on hidden skin. A ridge stands
/// where its foot lies on hidden skin of both pieces, 1 mm sunk into it, where it does not fold and
/// stands free of the part; drills reach 1 mm past the flange, no further, so that a leaning shell
/// is not gouged. To be united with the part and taken from it before it is cut. A joint without
/// room gets none. Deterministic on any thread count. O(faces log faces), then about 2 ms per 100
/// mm.
std::vector<Flange> plan_flanges(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                                 std::span<const JointFace> faces,
                                 std::span<const std::size_t> wanted, const HiddenSkin& hidden,
                                 const FlangeRules& rules, const Run& run = {});

}  // namespace seamwright
