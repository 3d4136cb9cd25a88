#pragma once

#include <array>
#include <optional>
#include <span>
#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright::pose_detail {

/// Three perpendicular directions of the part, right-handed; which of them is laid along which side
/// of the room is decided by size, so a frame stands for 24 rotations.
using Frame = std::array<Vec3, 3>;

/// About 360 frames that cover all rotations evenly: a body-centred lattice in the Rodrigues
/// vectors nearer to the identity than to any other rotation of the cube. The same always.
const std::vector<Frame>& tilt_frames();

/// By how much points exceed a room in a frame, extents and sides sorted alike; negative: room
/// left.
double frame_excess(std::span<const Vec3> points, const Frame& frame, Vec3 room);

/// How hard frames are looked for where none of tilt_frames() fits: that many of them are turned
/// against what is too long, and that many of what comes out are refined.
struct TiltEffort {
  std::size_t turned, refined;
};
inline constexpr TiltEffort kUsualTilts{24, 3};
inline constexpr TiltEffort kHardTilts{400, 30};  ///< 20 times the work

/// Frames worth trying, the roomiest first: those of tilt_frames() in which the points fit (at most
/// `most`), or when there is none those that the best of them lead to by turns that shorten the
/// sides that are too long, the best of those refined. O(n) a frame.
struct TiltedFrame {
  Frame frame;
  double excess_mm = 0;
};
std::vector<TiltedFrame> search_tilts(std::span<const Vec3> points, Vec3 room, std::size_t most,
                                      TiltEffort effort = kUsualTilts);

/// The frame turned so that its axes lie along the sides they fit, the box's low corner at the
/// origin.
Transform lay_frame(std::span<const Vec3> points, const Frame& frame, Vec3 room);

}  // namespace seamwright::pose_detail
