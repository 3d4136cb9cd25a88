#include "seamwright/core/circle.h"

#include <cmath>
#include <numbers>

namespace seamwright {

int corner_count(double radius_mm) {
  int count = 16;
  // 1/cos - 1 is the larger of the two sagittas, so it serves both polygons.
  while (radius_mm * (1 / std::cos(std::numbers::pi / count) - 1) > kSagitta_mm) count += 8;
  return count;
}

Loop2 inscribed_circle(Vec2 center, double radius_mm) {
  const int count = corner_count(radius_mm);
  Loop2 loop;
  for (int i = 0; i < count; ++i) {
    const double angle = 2 * std::numbers::pi * i / count;
    loop.push_back(center + Vec2{std::cos(angle) * radius_mm, std::sin(angle) * radius_mm});
  }
  return loop;
}

}  // namespace seamwright
