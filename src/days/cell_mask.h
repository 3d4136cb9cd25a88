#pragma once

#include <vector>

#include "seamwright/core/region.h"

namespace seamwright::days_detail {

/// A run of cells [begin, end) of one row.
struct CellRun {
  int begin = 0, end = 0;
};

/// The cells that a set of loops touches or encloses, rows from `low` upward; a cell that a loop
/// only meets along its border is not touched.
struct CellMask {
  Vec2 low;  ///< corner of cell (0, 0), in the loops' frame
  int width = 0, height = 0;
  std::vector<std::vector<CellRun>> rows;  ///< runs of each row, rising, not touching
  double cell_count = 0;
};

/// `low` is the loops' own low corner when none is given.
CellMask mask_of(const std::vector<Loop2>& loops, double cell_mm);
CellMask mask_of(const std::vector<Loop2>& loops, double cell_mm, Vec2 low);

}  // namespace seamwright::days_detail
