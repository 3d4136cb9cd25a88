#pragma once

#include <optional>
#include <span>

#include "pose/footing.h"
#include "seamwright/pose/pose.h"

namespace seamwright::pose_detail {

/// By how much an outline and a height are too large for a room, and the turn; within the tolerance
/// is not too large.
struct Excess {
  Turn turn;
  double excess_mm = 0;
};
Excess excess_of(std::span<const Vec2> outline, double height_mm, Vec3 room);

/// The piece turned and laid with its box's low corner at the origin, or nothing when any of its
/// points leaves the room after all.
std::optional<Pose> laid_down(const Solid& solid, const Footing& footing, Vec2 along, Vec3 room);

}  // namespace seamwright::pose_detail
