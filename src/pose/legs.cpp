#include "pose/legs.h"

#include <algorithm>
#include <cmath>

namespace seamwright::pose_detail {
namespace {

constexpr double kLeast_mm2 = 1;
constexpr double kSquare_mm = 5;

std::array<std::int32_t, 2> square_at(Vec2 p) {
  return {static_cast<std::int32_t>(std::floor(p.x / kSquare_mm)),
          static_cast<std::int32_t>(std::floor(p.y / kSquare_mm))};
}

}  // namespace

void Legs::add(const std::array<Vec2, 3>& corners, double projected_mm2,
               std::vector<Vec2>& footprint) {
  if (projected_mm2 >= kLeast_mm2) {
    footprint.insert(footprint.end(), corners.begin(), corners.end());
  } else {
    const Vec2 middle = (corners[0] + corners[1] + corners[2]) / 3;
    small_.push_back({square_at(middle), projected_mm2, corners});
  }
}

void Legs::finish(std::vector<Vec2>& footprint) {
  std::stable_sort(small_.begin(), small_.end(),
                   [](const Small& a, const Small& b) { return a.square < b.square; });
  for (std::size_t begin = 0, end = 0; begin < small_.size(); begin = end) {
    double sum_mm2 = 0;
    for (; end < small_.size() && small_[end].square == small_[begin].square; ++end)
      sum_mm2 += small_[end].projected_mm2;
    if (sum_mm2 < kLeast_mm2) continue;
    for (std::size_t i = begin; i < end; ++i) {
      const std::array<Vec2, 3>& corners = small_[i].corners;
      footprint.insert(footprint.end(), corners.begin(), corners.end());
    }
  }
  small_.clear();
}

}  // namespace seamwright::pose_detail
