#include <algorithm>

#include "pose/layer_sums.h"

namespace seamwright::pose_detail {
namespace {

constexpr std::size_t kCellsAcross = 64;

/// Where a vertical line through a cell's middle meets a face.
struct Meeting {
  std::uint32_t cell = 0;
  bool needs_support = false;
  double z = 0;
};

/// The points' shadow in square cells.
struct CellGrid {
  Vec2 low;
  double cell_mm = 1;
  std::size_t across = 1, deep = 1;

  explicit CellGrid(const Box3& box) : low{box.low.x, box.low.y} {
    const Vec3 size = box.size();
    cell_mm = std::max(std::max(size.x, size.y) / kCellsAcross, 1e-3);
    across = static_cast<std::size_t>(size.x / cell_mm) + 1;
    deep = static_cast<std::size_t>(size.y / cell_mm) + 1;
  }
  /// The first cell whose middle is at or beyond, so that neighbouring faces share no cell.
  static std::size_t from(double at, double origin, double cell, std::size_t count) {
    return static_cast<std::size_t>(
        std::clamp(std::ceil((at - origin) / cell - 0.5), 0.0, static_cast<double>(count)));
  }
  double middle_x(std::size_t i) const { return low.x + (static_cast<double>(i) + 0.5) * cell_mm; }
  double middle_y(std::size_t j) const { return low.y + (static_cast<double>(j) + 0.5) * cell_mm; }
};

/// The stretch of a row that lies under a triangle.
struct Stretch {
  double left = 0, right = 0;
};
Stretch stretch_at(const std::array<Vec3, 3>& corners, double y) {
  double x[2] = {0, 0};
  std::size_t found = 0;
  for (std::size_t k = 0; k < 3 && found < 2; ++k) {
    const Vec3 a = corners[k], b = corners[(k + 1) % 3];
    if ((a.y >= y) == (b.y >= y)) continue;
    // From the lower end, so that neighbouring faces share the bits of their common edge.
    const Vec3 from = a.y < b.y ? a : b, to = a.y < b.y ? b : a;
    x[found++] = from.x + (to.x - from.x) * ((y - from.y) / (to.y - from.y));
  }
  return found < 2 ? Stretch{} : Stretch{std::min(x[0], x[1]), std::max(x[0], x[1])};
}

void meet_face(const std::array<Vec3, 3>& corners, const CellGrid& cells, double steepest,
               std::vector<Meeting>& meetings) {
  const Vec3 normal = cross(corners[1] - corners[0], corners[2] - corners[0]);
  if (normal.z == 0) return;
  const bool needs_support = normal.z < -steepest * norm(normal);
  const auto [low, high] = std::minmax({corners[0].y, corners[1].y, corners[2].y});
  const std::size_t end = CellGrid::from(high, cells.low.y, cells.cell_mm, cells.deep);
  for (std::size_t j = CellGrid::from(low, cells.low.y, cells.cell_mm, cells.deep); j < end; ++j) {
    const double y = cells.middle_y(j);
    const Stretch stretch = stretch_at(corners, y);
    const std::size_t last =
        CellGrid::from(stretch.right, cells.low.x, cells.cell_mm, cells.across);
    for (std::size_t i = CellGrid::from(stretch.left, cells.low.x, cells.cell_mm, cells.across);
         i < last; ++i) {
      const double dx = cells.middle_x(i) - corners[0].x, dy = y - corners[0].y;
      const double z = corners[0].z - (normal.x * dx + normal.y * dy) / normal.z;
      meetings.push_back({static_cast<std::uint32_t>(j * cells.across + i), needs_support, z});
    }
  }
}

}  // namespace

void add_support_columns(std::span<const Vec3> points, std::span<const Triangle> triangles,
                         double support_angle_deg, const LayerGrid& grid,
                         std::vector<LayerSums>& layers) {
  Box3 box;
  for (const Vec3 p : points) box.extend(p);
  const CellGrid cells(box);
  const double steepest = std::cos(Angle::degrees(support_angle_deg).radians());
  std::vector<Meeting> meetings;
  for (const Triangle& t : triangles) {
    meet_face({points[to_index(t[0])], points[to_index(t[1])], points[to_index(t[2])]}, cells,
              steepest, meetings);
  }
  std::sort(meetings.begin(), meetings.end(), [](const Meeting& a, const Meeting& b) {
    if (a.cell != b.cell) return a.cell < b.cell;
    return a.z != b.z ? a.z < b.z : a.needs_support < b.needs_support;
  });
  std::vector<double> steps(layers.size() + 1);
  for (std::size_t i = 0; i < meetings.size(); ++i) {
    if (!meetings[i].needs_support) continue;
    const bool is_lowest = i == 0 || meetings[i - 1].cell != meetings[i].cell;
    const std::size_t from = is_lowest ? 0 : grid.first_at(meetings[i - 1].z),
                      to = grid.first_at(meetings[i].z);
    if (from >= to) continue;
    steps[from] += cells.cell_mm * cells.cell_mm;
    steps[to] -= cells.cell_mm * cells.cell_mm;
  }
  double sum = 0;
  for (std::size_t k = 0; k < layers.size(); ++k)
    layers[k].support_mm2 = std::max(0.0, sum += steps[k]);
}

}  // namespace seamwright::pose_detail
