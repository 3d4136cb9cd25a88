#pragma once

#include "seams/cell_grid.h"

namespace seamwright::search {

/// What the solids of a box of cells come to.
struct BoxAmounts {
  std::uint32_t solids = 0;
  double volume_mm3 = 0, skin_mm2 = 0;
  BoxAmounts& operator+=(const BoxAmounts& o) {
    solids += o.solids;
    volume_mm3 += o.volume_mm3;
    skin_mm2 += o.skin_mm2;
    return *this;
  }
  BoxAmounts& operator-=(const BoxAmounts& o) {
    solids -= o.solids;
    volume_mm3 -= o.volume_mm3;
    skin_mm2 -= o.skin_mm2;
    return *this;
  }
};

/// The amounts of any box of a grid in O(1), from sums that are taken once from the grid's corner,
/// O(cells + solids).
class BoxSums {
 public:
  explicit BoxSums(const CellGrid& grid);
  BoxAmounts in(const CellBox& box) const;

 private:
  BoxAmounts& upto(std::size_t x, std::size_t y, std::size_t z) {
    return sums_[(x * wide_ + y) * high_ + z];
  }
  const BoxAmounts& upto(std::size_t x, std::size_t y, std::size_t z) const {
    return sums_[(x * wide_ + y) * high_ + z];
  }

  std::size_t wide_, high_;  ///< of the table along the second and the third axis
  std::vector<BoxAmounts> sums_;
};

/// Which layers of the boxes that stand on one column of cells are empty. Asked for millions of
/// boxes, a column at a time.
class ColumnLayers {
 public:
  /// The column of `box`, whatever its own layers along the last axis.
  void take(const BoxSums& sums, const CellBox& box, std::size_t layers);
  bool is_empty(const CellBox& box) const { return all_[box.high[2]] == all_[box.low[2]]; }
  /// Whether the box's lowest, or its highest, layer across the axis is empty.
  bool is_low_empty(const CellBox& box, std::size_t axis) const {
    if (axis == 2) return all_[box.low[2] + 1] == all_[box.low[2]];
    return low_[axis][box.high[2]] == low_[axis][box.low[2]];
  }
  bool is_high_empty(const CellBox& box, std::size_t axis) const {
    if (axis == 2) return all_[box.high[2]] == all_[box.high[2] - 1];
    return high_[axis][box.high[2]] == high_[axis][box.low[2]];
  }

 private:
  using Counts = std::vector<std::uint32_t>;  ///< solids below each height
  Counts all_;
  std::array<Counts, 2> low_, high_;  ///< of the outer layers across the first two axes
};

}  // namespace seamwright::search
