#pragma once

#include <optional>
#include <span>

#include "seamwright/mesh/solid.h"
#include "seamwright/pose/pose.h"

namespace seamwright {

/// A rotation in which the points fit the room, or nothing: 360 rotation frames, the best 24 turned
/// against what is too long, then local refinement of the best three; `remembered` (the piece's
/// last good rotation) is tried first. Never a false accept (tolerance 2e-6 mm). O(n) a frame; hull
/// vertices are enough as points. Cost: 0.6 ms at 800 of them.
std::optional<Transform> tilt_to_fit(std::span<const Vec3> points, Vec3 usable_mm,
                                     const Transform* remembered = nullptr);

/// The tilted pose of a solid with its support and contact, or nothing. What misses by less than
/// 3 mm is looked at harder than tilt_to_fit does, from all frames and refining 30 of them. Cost at
/// 800 hull vertices: 3 ms with the hull; looked at harder 13 ms, 46 ms where that finds poses to
/// choose among (`tilted_perf`).
std::optional<Pose> tilted_pose(const Solid& solid, Vec3 usable_mm,
                                const Transform* remembered = nullptr);

}  // namespace seamwright
