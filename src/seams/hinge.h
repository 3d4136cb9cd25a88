#pragma once

#include <array>
#include <vector>

#include "seams/plan_tree.h"

namespace seamwright::search {

/// A shift along the normal and tilts about two lines, all in mm: a tilt's where the outline is on
/// the average.
using HingeMoves = std::array<double, 3>;

/// A seam that may move a little, about the middle of its outline.
struct Hinge {
  Plane plane;
  Vec3 middle, u, v;  ///< of the outline; two directions along the seam
  double arm_mm = 1;  ///< root mean square distance of the outline from its middle
  bool is_locked = false;

  /// By how much each move takes a point of the seam along the normal, per mm.
  HingeMoves advance(Vec3 point) const;
  Plane moved(const HingeMoves& by_mm) const;
};

/// Of every seam of a plan, in preorder.
std::vector<Hinge> hinges_of(const PlanNode& plan);

}  // namespace seamwright::search
