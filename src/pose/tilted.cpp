#include "seamwright/pose/tilted.h"

#include "pose/laying.h"
#include "pose/standing_judge.h"
#include "pose/tilt_search.h"
#include "seamwright/query/hull.h"

namespace seamwright {
namespace {

using namespace pose_detail;

/// The same rotation, its box's low corner at the origin, when the points fit the room in it.
std::optional<Transform> laid_as(std::span<const Vec3> points, const Transform& rotated,
                                 Vec3 room) {
  Box3 box;
  for (const Vec3 p : points) box.extend(rotated.rotate(p));
  const Vec3 size = box.size();
  for (std::size_t axis = 0; axis < 3; ++axis) {
    if (!(size[axis] <= room[axis] + kFitTolerance_mm)) return std::nullopt;
  }
  Transform laid = rotated;
  laid.shift = points.empty() ? Vec3{} : -box.low;
  return laid;
}

/// The pose with this direction down and the turn with most spare, or nothing when it does not fit.
std::optional<Pose> posed(const SolidFacts& facts, FootingMaker& maker, StandingJudge& judge,
                          Vec3 down, Vec3 room) {
  Footing footing = maker.look(down);
  const Excess excess = excess_of(footing.outline, footing.height_mm, room);
  if (excess.excess_mm > 0) return std::nullopt;
  maker.weigh(footing, true);
  std::optional<Pose> pose = laid_down(*facts.solid, footing, excess.turn.along, room);
  if (!pose) return std::nullopt;
  pose->foot = Foot::tilted;
  pose->is_stable = judge.misfit(footing, Foot::supports, 0).is_none();
  return pose;
}

/// Of all frames and their six directions: the stable pose before the others, then the least
/// support.
std::optional<Pose> best_posed(const Solid& solid, std::span<const TiltedFrame> tilts, Vec3 room) {
  const SolidFacts facts(solid);
  FootingMaker maker(facts, StandingRules{}.support_from);
  StandingJudge judge(facts, {});
  std::optional<Pose> best;
  for (const TiltedFrame& tilt : tilts) {
    for (std::size_t side = 0; side < 6; ++side) {
      const Vec3 down = side < 3 ? tilt.frame[side] : -tilt.frame[side - 3];
      const std::optional<Pose> pose = posed(facts, maker, judge, normalized(down), room);
      if (!pose) continue;
      const auto rank = [](const Pose& p) { return std::pair(!p.is_stable, p.support_mm2); };
      if (!best || rank(*pose) < rank(*best)) best = pose;
    }
  }
  return best;
}

}  // namespace

std::optional<Transform> tilt_to_fit(std::span<const Vec3> points, Vec3 usable_mm,
                                     const Transform* remembered) {
  if (remembered != nullptr) {
    if (const auto laid = laid_as(points, *remembered, usable_mm)) return laid;
  }
  if (points.empty()) return laid_as(points, {}, usable_mm);
  const std::vector<TiltedFrame> tilts = search_tilts(points, usable_mm, 1);
  return laid_as(points, lay_frame(points, tilts.front().frame, usable_mm), usable_mm);
}

std::optional<Pose> tilted_pose(const Solid& solid, Vec3 usable_mm, const Transform* remembered) {
  constexpr std::size_t kMostFrames = 8;
  constexpr double kNearly_mm = 3;  // a search of seams ends with pieces that only just fit
  const Hull hull = convex_hull(solid.points());
  const std::span<const Vec3> corners =
      hull.points.empty() ? solid.points() : std::span<const Vec3>(hull.points);
  if (remembered != nullptr && laid_as(solid.points(), *remembered, usable_mm)) {
    const TiltedFrame tilt{{remembered->rows[0], remembered->rows[1], remembered->rows[2]}};
    return best_posed(solid, std::span(&tilt, 1), usable_mm);
  }
  std::vector<TiltedFrame> tilts = search_tilts(corners, usable_mm, kMostFrames);
  const double excess_mm = tilts.front().excess_mm;
  if (excess_mm > 0 && excess_mm < kNearly_mm)
    tilts = search_tilts(corners, usable_mm, kMostFrames, kHardTilts);
  return best_posed(solid, tilts, usable_mm);
}

}  // namespace seamwright
