#pragma once

#include <span>
#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// Where a sample is cut out of a plan. Part frame.
struct SampleCut {
  Plane seam;
  Vec3 at;               ///< on the seam: the middle of the sample
  Vec3 along;            ///< unit, in the seam's plane, along the wall
  double width_mm = 30;  ///< along the wall
  double depth_mm = 20;  ///< to each side of the seam
  double reach_mm = 40;  ///< across the wall, from `at`
};

/// A slice of both finished pieces with all that is in the joint there (keys, grooves, channels,
/// marks), and of the loose parts over it: bodies of the plan's own geometry, to print and put
/// together before the pieces.
struct JointSample {
  std::vector<Solid> halves;       ///< above, then below; part frame
  std::vector<Solid> loose_parts;  ///< slices of straps that lie there
};

/// Cuts six planes round `at` out of each body and keeps what touches the seam within the slice.
/// Guarantees: each body is closed; its points lie within the slice and within the piece; where no
/// plane passes, its faces are the piece's own. Errors: "no-sample" when a piece has nothing there;
/// plane_cut's. O(faces).
Result<JointSample> cut_joint_sample(const Solid& above, const Solid& below,
                                     std::span<const Solid> loose_parts, const SampleCut& cut);

/// How a half lies on the bed for printing: the cut that is parallel to the seam, far from it,
/// down; the low corner of its box at the origin.
Transform sample_pose(const Solid& half, Vec3 down);

}  // namespace seamwright
