#pragma once

#include "joints/box_pair.h"
#include "seamwright/core/random.h"
#include "seamwright/pose/standing.h"

namespace seamwright::testing {

/// A random tree of seams over the part: each leaf cut once more, `rounds` times, near its middle;
/// every other plane along an axis.
inline SeamPlan random_plan(const Solid& part, std::uint64_t seed, int rounds) {
  Random random(seed);
  SeamPlan plan;
  const Vec3 middle = part.box().center(), size = part.box().size();
  std::vector<std::pair<std::optional<SeamId>, Side>> open{{std::nullopt, Side::above}};
  for (int round = 0; round < rounds; ++round) {
    std::vector<std::pair<std::optional<SeamId>, Side>> next;
    for (const auto& [parent, side] : open) {
      Vec3 normal = random.direction();
      if (random.below(2) == 0) {
        normal = Vec3{};
        normal[random.below(3)] = 1;
      }
      Vec3 through = middle;
      for (std::size_t i = 0; i < 3; ++i) through[i] += size[i] * random.uniform(-0.25, 0.25);
      const SeamId id = to_id<SeamId>(plan.next_id);
      plan = seamwright::apply(plan, AddSeam{parent, side, {normal, dot(normal, through)}}).value();
      next.push_back({id, Side::above});
      next.push_back({id, Side::below});
    }
    open = next;
  }
  return plan;
}

/// The part cut by the plan; each piece in its best standing pose, or as it lies in the part.
inline PosedParts cut_and_pose(const Solid& part, SeamPlan plan, Vec3 usable_mm = {400, 400, 400}) {
  PosedParts parts;
  parts.plan = std::move(plan);
  parts.usable_mm = usable_mm;
  parts.pieces = cut_plan(part, parts.plan).value();
  parts.faces = find_joint_faces(parts.plan, parts.pieces).value();
  for (const CutPiece& piece : parts.pieces) {
    const auto poses = standing_poses(piece.solid, usable_mm);
    parts.poses.push_back(poses.empty() ? turned_pose(piece.solid, {}) : poses.front());
  }
  return parts;
}

}  // namespace seamwright::testing
