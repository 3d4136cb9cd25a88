#include "joints/flat_motion.h"

#include <algorithm>
#include <cmath>

namespace seamwright::joints {

Motion Motion::turned(Vec2 middle, double turn_rad, Vec2 by) const {
  const double cos = std::cos(turn_rad), sin = std::sin(turn_rad);
  Motion moved{c * cos - s * sin, s * cos + c * sin, {}};
  moved.shift = (*this)(middle)-moved(middle) + by;
  return moved;
}

Motion turn_about(Vec2 center, double turn_rad) {
  return Motion{}.turned(center, turn_rad, {});
}

Motion laying(Vec2 a, Vec2 b, Vec2 p, Vec2 q) {
  const Vec2 from = normalized(b - a), to = normalized(q - p);
  Motion motion{dot(from, to), cross(from, to), {}};
  motion.shift = (p + q) / 2 - motion((a + b) / 2);
  return motion;
}

double worst_error(std::span<const FlatKey> rods, std::span<const FlatKey> holes,
                   const Motion& motion, double extra_mm, double enough_mm) {
  double worst = 0;
  for (const FlatKey& rod : rods) {
    const Vec2 at = motion(rod.at);
    double best = enough_mm;
    for (const FlatKey& hole : holes) {
      const double excess = std::max(0.0, rod.diameter_mm - hole.diameter_mm - extra_mm);
      const double aside = norm(at - hole.at) + excess;
      best = std::min(best, std::max(aside, rod.depth_mm - hole.depth_mm));
    }
    worst = std::max(worst, best);
    if (worst >= enough_mm) return enough_mm;
  }
  return worst;
}

}  // namespace seamwright::joints
