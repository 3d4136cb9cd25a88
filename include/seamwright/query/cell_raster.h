#pragma once

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "seamwright/core/vec.h"

namespace seamwright {

/// Cells in rows over a flat box, to look down from or up to faces: a face covers the cells whose
/// middles lie in its shadow, so that neighbouring faces cover no cell twice and leave none out.
struct CellRaster {
  Vec2 low;
  double cell_mm = 1;  ///< along a row
  double row_mm = 1;   ///< from row to row
  std::size_t cell_count = 1, row_count = 1;

  double cell_x_mm(std::size_t cell) const {
    return low.x + (static_cast<double>(cell) + 0.5) * cell_mm;
  }
  double row_y_mm(std::size_t row) const {
    return low.y + (static_cast<double>(row) + 0.5) * row_mm;
  }
  /// The first cell (row) whose middle is at x (y) or beyond; the count when there is none.
  std::size_t cell_from(double x) const { return index((x - low.x) / cell_mm, cell_count); }
  std::size_t row_from(double y) const { return index((y - low.y) / row_mm, row_count); }

 private:
  static std::size_t index(double steps_ratio, std::size_t count) {
    return static_cast<std::size_t>(
        std::clamp(std::ceil(steps_ratio - 0.5), 0.0, static_cast<double>(count)));
  }
};

/// Whether a face of this normal (any length) looks down flatter than a slope, given as the cosine
/// of its angle to the horizontal: the one rule for what needs support.
inline bool looks_down(Vec3 normal, double slope_ratio) {
  return normal.z < 0 && normal.z < -slope_ratio * norm(normal);
}

/// Calls visit(row, cell, z) for each cell that the triangle covers, z where it lies over the
/// cell's middle. An upright triangle covers none. O(rows + cells covered).
template <class Visit>
void for_each_covered_cell(const CellRaster& raster, const std::array<Vec3, 3>& corners,
                           const Visit& visit) {
  const Vec3 normal = cross(corners[1] - corners[0], corners[2] - corners[0]);
  if (normal.z == 0) return;
  const auto [low_y, high_y] = std::minmax({corners[0].y, corners[1].y, corners[2].y});
  const std::size_t row_end = raster.row_from(high_y);
  for (std::size_t row = raster.row_from(low_y); row < row_end; ++row) {
    const double y = raster.row_y_mm(row);
    double x[2] = {0, 0};
    std::size_t found = 0;
    for (std::size_t k = 0; k < 3 && found < 2; ++k) {
      const Vec3 a = corners[k], b = corners[(k + 1) % 3];
      if ((a.y >= y) == (b.y >= y)) continue;
      // From the lower end, so that neighbouring faces share the bits of their common edge.
      const Vec3 from = a.y < b.y ? a : b, to = a.y < b.y ? b : a;
      x[found++] = from.x + (to.x - from.x) * ((y - from.y) / (to.y - from.y));
    }
    if (found < 2) continue;
    const auto [left, right] = std::minmax(x[0], x[1]);
    const std::size_t cell_end = raster.cell_from(right);
    for (std::size_t cell = raster.cell_from(left); cell < cell_end; ++cell) {
      const Vec2 off{raster.cell_x_mm(cell) - corners[0].x, y - corners[0].y};
      visit(row, cell, corners[0].z - (normal.x * off.x + normal.y * off.y) / normal.z);
    }
  }
}

}  // namespace seamwright
