#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "seamwright/core/vec.h"

namespace seamwright {

/// A seat that seams had better leave whole, with the plastic round it: a box by its half edges, or
/// a cylinder whose axis is the first of them. Part frame, mm.
struct SeatZone {
  std::string name;
  Vec3 middle;
  std::array<Vec3, 3> half_edges;  ///< square to each other
  bool is_round = false;           ///< the last two are radii of a circle
  bool operator==(const SeatZone&) const = default;

  /// How far the plane must move along its normal to leave the seat; 0 or less: it passes by. O(1).
  double depth_mm(const Plane& plane) const {
    const double deep_mm = std::abs(dot(plane.normal, half_edges[0]));
    const double across_mm = std::abs(dot(plane.normal, half_edges[1]));
    const double along_mm = std::abs(dot(plane.normal, half_edges[2]));
    const double beside_mm = is_round ? std::hypot(across_mm, along_mm) : across_mm + along_mm;
    return deep_mm + beside_mm - std::abs(plane.distance(middle));
  }
};

}  // namespace seamwright
