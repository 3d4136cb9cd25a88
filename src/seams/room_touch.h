#pragma once

#include <optional>
#include <span>

#include "seams/hinge.h"
#include "seams/piece_shape.h"

namespace seamwright::search {

/// A point of a piece that is outermost in its room, or may soon be, and where seams take it.
struct TouchPoint {
  Vec3 at;
  std::vector<std::size_t> hinges;  ///< whose seams it lies on
  std::vector<Vec3> ways;           ///< where each of them takes it, per mm along its normal
};

/// A piece as it lies in its room.
struct PieceInRoom {
  std::array<Vec3, 3> axes;  ///< of the room
  Vec3 room;
  Vec3 middle;  ///< of what it takes up
  double radius_mm = 1;
  bool turns_freely = false;  ///< else only about the vertical and with what it stands on
  std::optional<std::size_t> stands_on;  ///< hinge of its joint face on the bed
  std::vector<TouchPoint> rests_on;      ///< three of the hull facet on the bed, of one on supports
  std::array<std::array<std::vector<TouchPoint>, 2>, 3> touches;  ///< low and high, along each axis
};

/// Nothing for a piece that lies no known way. `above`: the hinges of the seams above its leaf.
/// O(n · seams above).
std::optional<PieceInRoom> place_in_room(const PieceShape& piece, const EarlierPose& pose,
                                         const FitRules& rules, std::span<const Hinge> hinges,
                                         std::span<const std::size_t> above);

}  // namespace seamwright::search
