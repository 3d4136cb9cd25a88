#pragma once

#include <utility>
#include <vector>

#include "seamwright/cut/cut_plan.h"
#include "seamwright/cut/seam_plan.h"

namespace seamwright::joints {

/// The seams above a piece with the side it lies on, the root first.
std::vector<std::pair<const Seam*, Side>> way_to(const SeamPlan& plan, const CutPiece& piece);

/// The space that the seams give one piece, without the seam of the joint that is looked at: what
/// is stood on or reaches out of a cell would be cut off by another seam and come out loose.
class Cell {
 public:
  Cell(const SeamPlan& plan, const CutPiece& piece, SeamId but);
  /// Whether the point lies in it, at least so far from its sides.
  bool holds(Vec3 p, double margin_mm) const;

 private:
  std::vector<Plane> sides_;  ///< normals into the cell
};

}  // namespace seamwright::joints
