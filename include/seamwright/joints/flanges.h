#pragma once

#include <algorithm>
#include <span>
#include <vector>

#include "seamwright/joints/inserts.h"
#include "seamwright/joints/key_pieces.h"

namespace seamwright {

/// How a flange is made. Assumptions, but for the section 8 × 3, which was measured on a 3 mm
/// shell.
struct FlangeRules {
  double height_mm = 8;         ///< over the hidden skin
  double thickness_mm = 3;      ///< on each piece
  double spacing_mm = 40;       ///< between screws, at most
  double least_length_mm = 20;  ///< shorter flanges are left out
  double access_mm = 20;        ///< free before a screw's head: the screw and a short key
  double nut_access_mm = 8;     ///< free behind a nut
  InsertSize screw = insert_size(InsertThread::none);
  bool has_inserts = false;  ///< else screws go through to nuts

  /// Of the flange on the piece that bears the inserts: a millimetre of floor under their bores.
  double insert_side_mm() const { return std::max(thickness_mm, screw.depth_mm() + 1); }
  double over_skin_mm() const {
    return has_inserts ? std::max(height_mm, screw.bore_mm + 2 * screw.wall_mm + 2) : height_mm;
  }
};

/// One joint's flange before the part is cut: ridges along the seam on the hidden skin that the cut
/// will halve, and the screws' holes through them.
struct Flange {
  std::size_t joint = 0;          ///< position in the faces given
  Side screw_side = Side::above;  ///< of the piece whose flange the heads lie on; inserts and nuts
                                  ///< are the other's
  std::vector<Solid> ridges, drills;
  std::vector<Vec3> holes;     ///< on the seam's plane
  std::size_t shut_count = 0;  ///< places for screws that no key or nut reaches: left out
  double length_mm = 0;
};

/// Flanges for the joint faces named in `wanted`, along their edges on hidden skin. A ridge stands
/// where its foot lies on hidden skin of both pieces, 1 mm sunk into it, where it does not fold and
/// stands free of the part; drills reach 1 mm past the flange, no further, so that a leaning shell
/// is not gouged. With inserts, one piece has their bores instead, open at the seam, 2 mm of wall
/// round them and a millimetre of floor, and the other the screws' clearance holes. The heads lie
/// on the side where more screws can be driven: a cylinder as wide as the head and `access_mm`
/// long is free of the part and of all flanges, checked by rays; a screw moves along the flange to
/// find such a place, or is left out. To be united with the part and taken from it before it is
/// cut. A joint without room gets none. Deterministic on any thread count. O(faces log faces), then
/// about 2 ms per 100 mm.
std::vector<Flange> plan_flanges(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                                 std::span<const JointFace> faces,
                                 std::span<const std::size_t> wanted, const HiddenSkin& hidden,
                                 const FlangeRules& rules, const Run& run = {});

}  // namespace seamwright
