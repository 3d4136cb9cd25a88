#include "seamwright/pose/pose_probe.h"

#include <algorithm>

#include "pose/foot_search.h"

namespace seamwright {

using pose_detail::FoundFeet;
using pose_detail::ProbeMemory;
using pose_detail::search_feet;

bool Misfit::is_none() const {
  return excess_mm == 0 && tip_deficit_deg == 0 && contact_deficit_mm2 == 0 &&
         slender_excess_ratio == 0;
}

double Misfit::penalty_h() const {
  if (is_none()) return 0;
  return 1 + 0.02 * excess_mm + 0.03 * tip_deficit_deg + 0.5 * contact_deficit_mm2 / 400 +
         0.05 * std::min(slender_excess_ratio, 20.0);
}

PoseProbe::PoseProbe(const Solid& solid, const StandingRules& rules)
    : memory_(std::make_unique<ProbeMemory>(solid, rules)) {}
PoseProbe::~PoseProbe() = default;
PoseProbe::PoseProbe(PoseProbe&&) noexcept = default;

BestPose PoseProbe::best(std::span<const Vec3> usable_mm, Foot last) {
  FoundFeet found = search_feet(*memory_, usable_mm, last, true);
  if (found.poses.empty()) return {std::nullopt, 0, found.least};
  return {found.poses.front(), found.room, {}};
}

std::vector<Pose> PoseProbe::all(Vec3 usable_mm, Foot last) {
  std::vector<Pose> poses = search_feet(*memory_, std::span(&usable_mm, 1), last, false).poses;
  std::stable_sort(poses.begin(), poses.end(), [](const Pose& a, const Pose& b) {
    if (a.foot != b.foot) return a.foot < b.foot;
    if (a.support_mm2 != b.support_mm2) return a.support_mm2 < b.support_mm2;
    return a.size_mm.z < b.size_mm.z;
  });
  return poses;
}

BestPose best_standing_pose(const Solid& solid, std::span<const Vec3> usable_mm, Foot last,
                            const StandingRules& rules) {
  return PoseProbe(solid, rules).best(usable_mm, last);
}

}  // namespace seamwright
