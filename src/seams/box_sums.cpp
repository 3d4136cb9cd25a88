#include "seams/box_sums.h"

namespace seamwright::search {

BoxSums::BoxSums(const CellGrid& grid) {
  const auto [nx, ny, nz] = grid.all().high;
  wide_ = ny + 1;
  high_ = nz + 1;
  sums_.resize((nx + 1) * wide_ * high_);
  for (std::size_t x = 0; x < nx; ++x) {
    for (std::size_t y = 0; y < ny; ++y) {
      BoxAmounts row;
      for (std::size_t z = 0; z < nz; ++z) {
        for (const std::uint32_t i : grid.solids_in(x, y, z))
          row += {1, grid.solid(i).volume_mm3, grid.solid(i).skin_mm2};
        BoxAmounts& sum = upto(x + 1, y + 1, z + 1);
        sum = row;
        sum += upto(x, y + 1, z + 1);
        sum += upto(x + 1, y, z + 1);
        sum -= upto(x, y, z + 1);
      }
    }
  }
}

BoxAmounts BoxSums::in(const CellBox& box) const {
  const auto& [x0, y0, z0] = box.low;
  const auto& [x1, y1, z1] = box.high;
  BoxAmounts sum = upto(x1, y1, z1);
  sum -= upto(x0, y1, z1);
  sum -= upto(x1, y0, z1);
  sum -= upto(x1, y1, z0);
  sum += upto(x0, y0, z1);
  sum += upto(x0, y1, z0);
  sum += upto(x1, y0, z0);
  sum -= upto(x0, y0, z0);
  return sum;
}

void ColumnLayers::take(const BoxSums& sums, const CellBox& box, std::size_t layers) {
  const auto count = [&](CellBox column, Counts& below) {
    below.assign(layers + 1, 0);
    column.low[2] = 0;
    for (std::size_t z = 1; z <= layers; ++z) {
      column.high[2] = z;
      below[z] = sums.in(column).solids;
    }
  };
  count(box, all_);
  for (std::size_t axis = 0; axis < 2; ++axis) {
    count(box.below(axis, box.low[axis] + 1), low_[axis]);
    count(box.above(axis, box.high[axis] - 1), high_[axis]);
  }
}

}  // namespace seamwright::search
