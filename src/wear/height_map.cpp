#include "wear/height_map.h"

#include <algorithm>

namespace seamwright::wear_detail {
namespace {

/// The least and greatest height of a triangle over one cell: of the triangle cut to the cell's
/// square.
class CellClip {
 public:
  CellClip(const std::array<Vec3, 3>& corners) : start_(corners.begin(), corners.end()) {}

  std::optional<std::pair<double, double>> range(double x0, double y0, double x1, double y1) {
    polygon_ = start_;
    cut(0, x0, 1);
    cut(0, x1, -1);
    cut(1, y0, 1);
    cut(1, y1, -1);
    if (polygon_.empty()) return std::nullopt;
    double low = Box3::kFar, high = -Box3::kFar;
    for (const Vec3& p : polygon_) {
      low = std::min(low, p.z);
      high = std::max(high, p.z);
    }
    return std::pair(low, high);
  }

 private:
  void cut(std::size_t axis, double at, double sign) {
    next_.clear();
    for (std::size_t i = 0; i < polygon_.size(); ++i) {
      const Vec3 a = polygon_[i], b = polygon_[(i + 1) % polygon_.size()];
      const double da = sign * (a[axis] - at), db = sign * (b[axis] - at);
      if (da >= 0) next_.push_back(a);
      if ((da > 0 && db < 0) || (da < 0 && db > 0)) next_.push_back(a + (b - a) * (da / (da - db)));
    }
    std::swap(polygon_, next_);
  }
  std::vector<Vec3> start_, polygon_, next_;
};

void add_triangle(HeightMap& map, const std::array<Vec3, 3>& corners, double cell_mm) {
  constexpr double kTouch = 1e-9;
  Box3 box;
  for (const Vec3& p : corners) box.extend(p);
  const auto first = [&](double mm, int count) {
    return std::clamp(static_cast<int>(std::floor(mm / cell_mm + kTouch)), 0, count - 1);
  };
  const auto last = [&](double mm, int count) {
    return std::clamp(static_cast<int>(std::ceil(mm / cell_mm - kTouch)) - 1, 0, count - 1);
  };
  const int x0 = first(box.low.x, map.width), x1 = std::max(x0, last(box.high.x, map.width));
  const int y0 = first(box.low.y, map.depth), y1 = std::max(y0, last(box.high.y, map.depth));
  CellClip clip(corners);
  for (int y = y0; y <= y1; ++y) {
    for (int x = x0; x <= x1; ++x) {
      const bool is_alone = x0 == x1 && y0 == y1;
      const auto range =
          is_alone ? std::optional(std::pair(box.low.z, box.high.z))
                   : clip.range(x * cell_mm, y * cell_mm, (x + 1) * cell_mm, (y + 1) * cell_mm);
      if (!range) continue;
      double& bottom = map.bottom[map.index(x, y)];
      double& top = map.top[map.index(x, y)];
      bottom = std::min(bottom, range->first);
      top = std::max(top, range->second);
    }
  }
}

}  // namespace

HeightMap height_map(const BagItem& item, const Transform& turn, double cell_mm) {
  HeightMap map{.turned = turn};
  Box3 box;
  for (const Solid* solid : item.solids) {
    for (const Vec3& p : solid->points()) box.extend(turn.apply(p));
  }
  map.turned.shift = map.turned.shift - box.low;
  const Vec3 size = box.size();
  const auto cells = [&](double mm) {
    return std::max(1, static_cast<int>(std::ceil(mm / cell_mm - 1e-9)));
  };
  map.width = cells(size.x);
  map.depth = cells(size.y);
  map.height_mm = size.z;
  map.bottom.assign(static_cast<std::size_t>(map.width) * static_cast<std::size_t>(map.depth),
                    Box3::kFar);
  map.top.assign(map.bottom.size(), -Box3::kFar);
  for (const Solid* solid : item.solids) {
    for (std::size_t f = 0; f < solid->face_count(); ++f) {
      auto corners = solid->corners(to_id<FaceId>(f));
      for (Vec3& p : corners) p = map.turned.apply(p);
      add_triangle(map, corners, cell_mm);
    }
  }
  return map;
}

std::vector<Transform> bag_turns() {
  std::vector<Transform> turns;
  const Vec3 axes[] = {{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}, {0, 0, -1}};
  for (const Vec3 down : axes) {
    for (const Vec3 right : axes) {
      if (dot(down, right) != 0) continue;
      // Rows of a rotation: right, forward, up; exact, so that boxes stay boxes.
      turns.push_back({{right, cross(-down, right), -down}, {}});
    }
  }
  const std::size_t square_count = turns.size();
  const Transform eighth = rotation({0, 0, 1}, Angle::degrees(45));
  for (std::size_t i = 0; i < square_count; ++i) turns.push_back(eighth * turns[i]);
  return turns;
}

}  // namespace seamwright::wear_detail
