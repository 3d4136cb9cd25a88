#pragma once

#include <array>

#include "seamwright/core/vec.h"

namespace seamwright {

/// The point of a triangle nearest to `p`, in double precision; a triangle without area counts as
/// its longest edge. Source: Ericson, Real-Time Collision Detection, 5.1.5 (memory).
inline Vec3 nearest_in_triangle(Vec3 p, const std::array<Vec3, 3>& corners) {
  const auto on_edge = [p](Vec3 a, Vec3 b) {
    const Vec3 ab = b - a;
    const double length2 = dot(ab, ab);
    return a + ab * (length2 > 0 ? std::clamp(dot(p - a, ab) / length2, 0.0, 1.0) : 0.0);
  };
  const auto& [a, b, c] = corners;
  const Vec3 n = cross(b - a, c - a);
  const double area2 = dot(n, n);
  if (area2 > 0) {
    const double u = dot(cross(b - p, c - p), n), v = dot(cross(c - p, a - p), n),
                 w = dot(cross(a - p, b - p), n);
    if (u >= 0 && v >= 0 && w >= 0) return p - n * (dot(p - a, n) / area2);
  }
  Vec3 best = on_edge(a, b);
  for (Vec3 q : {on_edge(b, c), on_edge(c, a)}) {
    if (dot(q - p, q - p) < dot(best - p, best - p)) best = q;
  }
  return best;
}

}  // namespace seamwright
