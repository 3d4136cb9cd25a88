#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright::pose_detail {

/// The footprint of the support under a piece. A column bears where there is something to hold: at
/// least 1 mm² of what is propped within a square of 5 mm of the bed (assumption). A crumb of a
/// face that a cut left far out, or a coarse mesh, would otherwise widen the footprint by itself.
/// Coordinates are those of the bed, mm.
class Legs {
 public:
  /// A propped face: its corners and its area as seen from above.
  void add(const std::array<Vec2, 3>& corners, double projected_mm2, std::vector<Vec2>& footprint);
  /// Adds the corners of the small faces that bear together; forgets all faces. O(k log k), k the
  /// faces under 1 mm².
  void finish(std::vector<Vec2>& footprint);

 private:
  struct Small {
    std::array<std::int32_t, 2> square{};
    double projected_mm2 = 0;
    std::array<Vec2, 3> corners;
  };
  std::vector<Small> small_;
};

}  // namespace seamwright::pose_detail
