#pragma once

#include <span>

#include "seamwright/cut/joint_faces.h"
#include "seamwright/wear/seam_loads.h"

namespace seamwright::job_detail {

/// The part in pieces, as statics sees it; lists by piece, and by joint.
struct WornBody {
  const SeamPlan* plan = nullptr;
  std::vector<const Solid*> solids;
  std::vector<double> mass_g;
  std::vector<JointFace> faces;
  std::vector<std::size_t> assembly;  ///< joints in the order of gluing
  std::vector<WearRod> rods;
};

/// Weights, joints and mounts of a body; each mount holds the piece whose surface is nearest. `up`
/// need not be of unit length. O(faces log faces) with mounts.
WearInput wear_input(const WornBody& body, const std::vector<MountChoice>& mounts,
                     const WearChoice& choice, Vec3 up);

}  // namespace seamwright::job_detail
