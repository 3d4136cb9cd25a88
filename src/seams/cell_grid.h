#pragma once

#include <span>

#include "seams/plan_tree.h"
#include "seamwright/core/random.h"

namespace seamwright::search {

/// Whole cells from `low` up to, but not with, `high` along each axis.
struct CellBox {
  std::array<std::size_t, 3> low{}, high{};
  CellBox below(std::size_t axis, std::size_t at) const {
    CellBox half = *this;
    half.high[axis] = at;
    return half;
  }
  CellBox above(std::size_t axis, std::size_t at) const {
    CellBox half = *this;
    half.low[axis] = at;
    return half;
  }
};

/// How a grid lies in a body.
struct GridFrame {
  std::array<Vec3, 3> axes;  ///< perpendicular, unit
  double step_mm = 0;        ///< the side of a cell
  double shake_ratio = 0;    ///< how much the hours of each plane are shaken by chance
};

/// One connected solid within one cell.
struct CellSolid {
  double volume_mm3 = 0;
  double skin_mm2 = 0;
  std::vector<float> low_mm, high_mm;          ///< along each of the grid's directions
  std::vector<std::uint32_t> after;            ///< solids of the next cells that it goes on in
  std::array<std::vector<Vec3>, 3> low_seams,  ///< corners on the cell's lower and upper planes
      high_seams;
};

/// A body cut along a grid into cells, once and truly, so that boxes of cells can be priced by
/// sums: the hours of a cut through a box, the solids in it and which of them hang together. The
/// grid begins at, or by chance up to a cell before, the body's lowest point along each axis.
/// O(n log cells) and the solids of each cell.
class CellGrid {
 public:
  /// `directions` are those along which solids are measured.
  CellGrid(std::shared_ptr<const ClipBody> body, const GridFrame& frame,
           std::vector<Vec3> directions, PlanPricer& pricer, Random& random);

  CellBox all() const { return {{}, counts_}; }
  std::size_t count(std::size_t axis) const { return counts_[axis]; }
  Plane plane(std::size_t axis, std::size_t at) const {
    return {axes_[axis], low_mm_[axis] + step_mm_ * static_cast<double>(at)};
  }
  /// Hours of the cut through a box by the plane before the layer `at`.
  double cut_h(const CellBox& box, std::size_t axis, std::size_t at) const {
    const std::size_t a = (axis + 1) % 3, b = (axis + 2) % 3, wide = counts_[b] + 1;
    const double* h = &hours_[axis][at * (counts_[a] + 1) * wide];
    const double* low = h + box.low[a] * wide;
    const double* high = h + box.high[a] * wide;
    return high[box.high[b]] - low[box.high[b]] - high[box.low[b]] + low[box.low[b]];
  }
  std::span<const std::uint32_t> solids_in(std::size_t x, std::size_t y, std::size_t z) const {
    return cells_[cell_at({x, y, z})];
  }
  const CellSolid& solid(std::uint32_t index) const { return solids_[index]; }
  std::size_t solid_count() const { return solids_.size(); }

 private:
  using Cell = std::array<std::size_t, 3>;
  std::size_t cell_at(const Cell& cell) const {
    return (cell[0] * counts_[1] + cell[1]) * counts_[2] + cell[2];
  }
  std::size_t layer_of(Vec3 point, std::size_t axis) const;
  double& price_at(std::size_t axis, std::size_t at, Vec3 point);
  void lay(const ClipBody& body, Random& random);
  void slice(std::shared_ptr<const ClipBody> body, std::size_t axis, Cell cell, std::size_t from,
             std::size_t to);
  void price(std::size_t axis, std::size_t at, const BodyHalves& halves);
  void sum_prices(Random& random, double shake_ratio);
  void add_solids(const ClipBody& body, const Cell& cell);
  void add_seam(const FootShape& foot, CellSolid& solid) const;
  void link();

  std::array<Vec3, 3> axes_;
  double step_mm_;
  std::vector<Vec3> directions_;
  PlanPricer& pricer_;
  std::array<double, 3> low_mm_{};
  Cell counts_{};
  /// Per axis, plane after plane: hours by the cell of the plane, summed from its corner; the cells
  /// of the other two axes in turn, one more of each.
  std::array<std::vector<double>, 3> hours_;
  std::vector<std::vector<std::uint32_t>> cells_;
  std::vector<CellSolid> solids_;
};

}  // namespace seamwright::search
