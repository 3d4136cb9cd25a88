#pragma once

#include <algorithm>
#include <cmath>
#include <string>

#include "seamwright/core/vec.h"

namespace seamwright {

/// A box or a ball in the part frame, mm: where seams must not go, or what is meant by "here".
struct Zone {
  std::string name;  ///< as the maker calls it; may be empty
  Vec3 center;
  Vec3 half_size_mm;     ///< of a box parallel to the axes
  double radius_mm = 0;  ///< over 0: a ball, and `half_size_mm` is ignored

  bool contains(Vec3 point) const {
    const Vec3 d = point - center;
    if (radius_mm > 0) return dot(d, d) <= radius_mm * radius_mm;
    return std::abs(d.x) <= half_size_mm.x && std::abs(d.y) <= half_size_mm.y &&
           std::abs(d.z) <= half_size_mm.z;
  }

  /// How far the plane must move along its normal to leave the zone; 0 or less: it passes by.
  double depth_mm(const Plane& plane) const {
    const Vec3 n = plane.normal;
    const double reach = radius_mm > 0
                             ? radius_mm
                             : std::abs(n.x) * half_size_mm.x + std::abs(n.y) * half_size_mm.y +
                                   std::abs(n.z) * half_size_mm.z;
    return reach - std::abs(plane.distance(center));
  }

  /// Whether the segment touches the zone (a box by its slabs, a ball by its nearest point).
  bool touches(Vec3 from, Vec3 to) const {
    const Vec3 along = to - from;
    if (radius_mm > 0) {
      const double length2 = dot(along, along);
      const double t =
          length2 > 0 ? std::clamp(dot(center - from, along) / length2, 0.0, 1.0) : 0.0;
      return contains(from + along * t);
    }
    double enter = 0, leave = 1;
    for (std::size_t k = 0; k < 3; ++k) {
      const double low = center[k] - half_size_mm[k] - from[k];
      const double high = center[k] + half_size_mm[k] - from[k];
      if (along[k] == 0) {
        if (low > 0 || high < 0) return false;
        continue;
      }
      const double a = low / along[k], b = high / along[k];
      enter = std::max(enter, std::min(a, b));
      leave = std::min(leave, std::max(a, b));
    }
    return enter <= leave;
  }
};

}  // namespace seamwright
