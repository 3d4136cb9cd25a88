#include "wiring/passage.h"

#include <algorithm>
#include <cmath>

namespace seamwright::wiring_detail {
namespace {

constexpr double kStiffness = 0.5;

struct SampleRange {
  std::size_t first = 0, last = 0;
};

SampleRange range_of(std::span<const Vec3> points, const Passage& passage, double step_mm) {
  std::size_t nearest = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (norm(points[i] - passage.at) < norm(points[nearest] - passage.at)) nearest = i;
  }
  const auto reach = static_cast<std::size_t>(std::ceil(passage.half_mm / step_mm));
  return {nearest - std::min(nearest, reach), std::min(points.size() - 1, nearest + reach)};
}

}  // namespace

std::vector<bool> samples_held(std::span<const Vec3> points, std::span<const Passage> passages,
                               double step_mm) {
  std::vector<bool> is_held(points.size(), false);
  for (const Passage& passage : passages) {
    const SampleRange range = range_of(points, passage, step_mm);
    for (std::size_t i = range.first; i <= range.last; ++i) is_held[i] = true;
  }
  return is_held;
}

void hold_in_passages(std::vector<Vec3>& points, std::span<const Passage> passages,
                      std::span<const Vec3> free, double step_mm) {
  for (std::size_t k = 0; k < passages.size(); ++k) {
    const Passage& passage = passages[k];
    const SampleRange range = range_of(points, passage, step_mm);
    for (std::size_t i = range.first; i <= range.last; ++i) {
      const Vec3 off = points[i] - passage.at;
      Vec3 kept = passage.along * dot(off, passage.along);
      if (!free.empty()) kept += free[k] * dot(off, free[k]);
      points[i] = passage.at + kept;
    }
  }
}

void limit_bends(std::vector<Vec3>& points, const std::vector<bool>& is_fixed, double bend_mm,
                 std::size_t reach) {
  const std::size_t last = points.size() - 1;
  const auto weight = [&](std::size_t i) { return i == 0 || i == last || is_fixed[i] ? 0.0 : 1.0; };
  for (std::size_t i = reach; i + reach <= last; ++i) {
    const Vec3 a = points[i - reach], b = points[i + reach];
    const double half_mm = norm(b - a) / 2;
    const Vec3 sag = points[i] - (a + b) / 2;
    const double sag_mm = norm(sag);
    const double allowed_mm =
        half_mm < bend_mm ? bend_mm - std::sqrt(bend_mm * bend_mm - half_mm * half_mm) : half_mm;
    const double share =
        weight(i) + (weight(i - reach) + weight(i + reach)) / 4;  // of the middle's own move
    if (sag_mm <= allowed_mm || share == 0) continue;
    const Vec3 move = sag * (kStiffness * (1 - allowed_mm / sag_mm) / share);
    points[i] += move * -weight(i);
    points[i - reach] += move * (0.5 * weight(i - reach));
    points[i + reach] += move * (0.5 * weight(i + reach));
  }
}

void limit_bends_widely(std::vector<Vec3>& points, const std::vector<bool>& is_fixed,
                        double bend_mm) {
  for (const std::size_t reach : {6u, 4u, 2u, 2u}) limit_bends(points, is_fixed, bend_mm, reach);
}

}  // namespace seamwright::wiring_detail
