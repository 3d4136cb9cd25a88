#pragma once

#include <vector>

#include "joints/cell.h"
#include "joints/hidden_ground.h"
#include "seamwright/joints/flanges.h"

namespace seamwright::joints {

/// A section of a flange's ridge: foot and top on the below and the above piece's side.
struct FlangeSection {
  Vec3 base, out, along;
  Vec3 foot_below, foot_above, top_below, top_above;
  double highest_mm = 0;  ///< of the skin beside it, over the base
  double top_mm = 0;      ///< over the base
  bool is_good = false;
};

/// What a flange's sections are measured on.
struct FlangeGround {
  const Plane& plane;
  const Solid &above, &below;
  const RayTree &above_tree, &below_tree;
  const Cell &above_cell, &below_cell;
  const HiddenGround& hidden;
  const FlangeRules& rules;
};

/// Sections along one hidden stretch, one a point, with the heads of the screws on `screw_side`.
std::vector<FlangeSection> flange_sections(const std::vector<EdgePoint>& stretch,
                                           const FlangeGround& ground, Side screw_side);

/// How thick the flange is on one side, square to the seam.
inline double flange_side_mm(const FlangeRules& rules, Side side, Side screw_side) {
  return rules.has_inserts && side != screw_side ? rules.insert_side_mm() : rules.thickness_mm;
}

}  // namespace seamwright::joints
