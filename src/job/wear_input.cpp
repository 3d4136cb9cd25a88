#include "job/wear_input.h"

#include "seamwright/query/mass_properties.h"
#include "seamwright/query/ray_tree.h"

namespace seamwright::job_detail {
namespace {

std::vector<WearMount> held_mounts(const WornBody& body, const std::vector<MountChoice>& mounts) {
  std::vector<WearMount> held;
  std::vector<double> least_mm(mounts.size(), Box3::kFar);
  for (const MountChoice& mount : mounts) held.push_back({mount.name, mount.at, 0});
  for (std::size_t i = 0; i < body.solids.size() && !mounts.empty(); ++i) {
    const RayTree tree(*body.solids[i]);
    for (std::size_t m = 0; m < mounts.size(); ++m) {
      const auto near = tree.nearest(mounts[m].at, least_mm[m]);
      if (!near || near->distance_mm >= least_mm[m]) continue;
      held[m].piece = i;
      least_mm[m] = near->distance_mm;
    }
  }
  return held;
}

}  // namespace

WearInput wear_input(const WornBody& body, const std::vector<MountChoice>& mounts,
                     const WearChoice& choice, Vec3 up) {
  WearInput input;
  for (std::size_t i = 0; i < body.solids.size(); ++i)
    input.pieces.push_back({body.mass_g[i], mass_properties(*body.solids[i]).centroid});
  for (const JointFace& face : body.faces) {
    const Seam* seam = find_seam(*body.plan, face.seam);
    require(seam != nullptr, "a joint's seam is in the plan");
    input.joints.push_back(
        {seam->id, seam->plane, to_index(face.above), to_index(face.below), face.region});
  }
  input.assembly = body.assembly;
  input.rods = body.rods;
  input.mounts = held_mounts(body, mounts);
  input.down = -normalized(up);
  input.choice = choice;
  return input;
}

}  // namespace seamwright::job_detail
