#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/mesh/solid.h"
#include "seamwright/profile/joinery.h"

namespace seamwright {

/// A part that is printed beside the pieces and glued in while they are joined. Part frame, mm, in
/// its place.
struct LoosePart {
  KeyKind kind = KeyKind::strap;
  std::size_t joint = 0;  ///< position in KeyedPieces::joints
  std::string mark;       ///< "J5a": the joint, and a letter for each part of it
  Solid solid;
  Vec3 at{};                  ///< the middle of it, on the seam's plane
  Transform bed_from_part{};  ///< how it stands on a bed, its box's low corner at (0, 0, 0)
  Vec3 size_mm{};             ///< extents on the bed
  double length_mm = 0;       ///< along the seam
  double glue_area_mm2 = 0;   ///< on both pieces together
};

/// Rods to cut from stock: what the dowels of a plan need.
struct RodCut {
  double diameter_mm = 0, length_mm = 0;
  std::size_t count = 0;
};

/// What glue and a hole's uneven floor need of a rod's length. Assumption.
inline constexpr double kRodEndRoom_mm = 0.5;

/// Several solids as one with all their shells; they should not meet. O(n).
Solid gathered(std::span<const Solid> solids);

struct Joint;
/// The dowels' cut list: each as long as both its holes less kRodEndRoom_mm at each end, thickest
/// and then longest first, equal ones (to 0.05 mm) counted together. O(n log n).
std::vector<RodCut> rod_cuts(std::span<const Joint> joints);

}  // namespace seamwright
