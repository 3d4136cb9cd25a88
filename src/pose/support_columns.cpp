#include <algorithm>

#include "pose/layer_sums.h"
#include "seamwright/query/cell_raster.h"

namespace seamwright::pose_detail {
namespace {

constexpr double kCellsAcross = 64;

/// Where a vertical line through a cell's middle meets a face.
struct Meeting {
  std::uint32_t cell = 0;
  bool needs_support = false;
  double z = 0;
};

/// The points' shadow in square cells.
CellRaster raster_of(std::span<const Vec3> points) {
  Box3 box;
  for (const Vec3 p : points) box.extend(p);
  const Vec3 size = box.size();
  const double cell_mm = std::max(std::max(size.x, size.y) / kCellsAcross, 1e-3);
  return {{box.low.x, box.low.y},
          cell_mm,
          cell_mm,
          static_cast<std::size_t>(size.x / cell_mm) + 1,
          static_cast<std::size_t>(size.y / cell_mm) + 1};
}

std::vector<Meeting> find_meetings(std::span<const Vec3> points,
                                   std::span<const Triangle> triangles, const CellRaster& raster,
                                   double slope_ratio) {
  std::vector<Meeting> meetings;
  for (const Triangle& t : triangles) {
    const std::array<Vec3, 3> corners{points[to_index(t[0])], points[to_index(t[1])],
                                      points[to_index(t[2])]};
    const bool needs_support =
        looks_down(cross(corners[1] - corners[0], corners[2] - corners[0]), slope_ratio);
    for_each_covered_cell(raster, corners, [&](std::size_t row, std::size_t cell, double z) {
      meetings.push_back(
          {static_cast<std::uint32_t>(row * raster.cell_count + cell), needs_support, z});
    });
  }
  std::sort(meetings.begin(), meetings.end(), [](const Meeting& a, const Meeting& b) {
    if (a.cell != b.cell) return a.cell < b.cell;
    return a.z != b.z ? a.z < b.z : a.needs_support < b.needs_support;
  });
  return meetings;
}

}  // namespace

void add_support_columns(std::span<const Vec3> points, std::span<const Triangle> triangles,
                         double support_angle_deg, const LayerGrid& grid,
                         std::vector<LayerSums>& layers) {
  const CellRaster raster = raster_of(points);
  const std::vector<Meeting> meetings = find_meetings(
      points, triangles, raster, std::cos(Angle::degrees(support_angle_deg).radians()));
  const double cell_mm2 = raster.cell_mm * raster.row_mm;
  std::vector<double> steps(layers.size() + 1);
  for (std::size_t i = 0; i < meetings.size(); ++i) {
    if (!meetings[i].needs_support) continue;
    const bool is_lowest = i == 0 || meetings[i - 1].cell != meetings[i].cell;
    const std::size_t from = is_lowest ? 0 : grid.first_at(meetings[i - 1].z);
    // One layer is left free, so that the support comes off.
    const std::size_t top = grid.first_at(meetings[i].z), to = top > 0 ? top - 1 : 0;
    if (from >= to) continue;
    steps[from] += cell_mm2;
    steps[to] -= cell_mm2;
  }
  double sum = 0;
  for (std::size_t k = 0; k < layers.size(); ++k)
    layers[k].support_mm2 = std::max(0.0, sum += steps[k]);
}

}  // namespace seamwright::pose_detail
