#include "joints/outlines.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace seamwright::joints {
namespace {

constexpr double kFull = 2 * std::numbers::pi;

Vec2 turned(Vec2 axis, double angle, double length) {
  const double c = std::cos(angle) * length, s = std::sin(angle) * length;
  return {axis.x * c - axis.y * s, axis.x * s + axis.y * c};
}

}  // namespace

Loop2 circumscribed_hole(Vec2 center, double radius_mm, std::optional<Vec2> up) {
  const int count = corner_count(radius_mm);
  const double corner_mm = radius_mm / std::cos(kFull / 2 / count);
  const int first = up ? count / 8 : 0, last = up ? count - count / 8 : count;
  Loop2 loop;
  for (int i = first; i < last; ++i) {
    loop.push_back(center + turned(up.value_or(Vec2{1, 0}), kFull * (i + 0.5) / count, corner_mm));
  }
  if (up) loop.push_back(center + *up * (radius_mm * std::numbers::sqrt2));
  return loop;
}

Loop2 divided(const Loop2& loop, double longest_mm) {
  Loop2 out;
  for (std::size_t i = 0; i < loop.size(); ++i) {
    const Vec2 a = loop[i], b = loop[(i + 1) % loop.size()];
    const int count = std::max(1, static_cast<int>(std::ceil(norm(b - a) / longest_mm)));
    for (int k = 0; k < count; ++k) out.push_back(a + (b - a) * (static_cast<double>(k) / count));
  }
  return out;
}

}  // namespace seamwright::joints
