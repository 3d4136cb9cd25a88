#pragma once

#include <optional>

#include "days/cell_mask.h"

namespace seamwright::days_detail {

struct Cell {
  int x = 0, y = 0;
};

/// Which cells of a bed are taken. Remembers for each cell how many free ones follow it in its row,
/// so that a search for a place leaps over what is taken.
class BedGrid {
 public:
  BedGrid(int width, int height);

  /// The lowest place, then the leftmost, where the mask meets nothing taken and its top stays at
  /// or under `top_limit`.
  std::optional<Cell> find_place(const CellMask& mask, int top_limit) const;
  void take(const CellMask& mask, Cell at);

 private:
  int& free_at(int x, int y) { return free_[index(x, y)]; }
  int free_at(int x, int y) const { return free_[index(x, y)]; }
  std::size_t index(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(width_ + 1) +
           static_cast<std::size_t>(x);
  }
  /// 0 where the mask fits at `at`; else by how many cells it must move right at least.
  int obstacle(const CellMask& mask, Cell at) const;

  int width_, height_;
  std::vector<int> free_;
};

}  // namespace seamwright::days_detail
