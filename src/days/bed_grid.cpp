#include "days/bed_grid.h"

#include <algorithm>

namespace seamwright::days_detail {

BedGrid::BedGrid(int width, int height)
    : width_(width),
      height_(height),
      free_(static_cast<std::size_t>(width + 1) * static_cast<std::size_t>(height), 0) {
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) free_at(x, y) = width - x;
  }
}

int BedGrid::obstacle(const CellMask& mask, Cell at) const {
  for (int r = 0; r < mask.height; ++r) {
    for (const CellRun& run : mask.rows[static_cast<std::size_t>(r)]) {
      const int free = free_at(at.x + run.begin, at.y + r);
      if (free < run.end - run.begin) return free + 1;  // the run must begin beyond what is taken
    }
  }
  return 0;
}

std::optional<Cell> BedGrid::find_place(const CellMask& mask, int top_limit) const {
  const int last_y = std::min(height_, top_limit) - mask.height;
  for (int y = 0; y <= last_y; ++y) {
    for (int x = 0; x + mask.width <= width_;) {
      const int step = obstacle(mask, {x, y});
      if (step == 0) return Cell{x, y};
      x += step;
    }
  }
  return std::nullopt;
}

void BedGrid::take(const CellMask& mask, Cell at) {
  for (int r = 0; r < mask.height; ++r) {
    const int y = at.y + r;
    if (y < 0 || y >= height_) continue;
    for (const CellRun& run : mask.rows[static_cast<std::size_t>(r)]) {
      for (int x = std::max(0, at.x + run.begin); x < std::min(width_, at.x + run.end); ++x)
        free_at(x, y) = -1;
    }
    for (int x = width_ - 1, free = 0; x >= 0; --x) {
      free = free_at(x, y) <= 0 ? 0 : free + 1;
      free_at(x, y) = free;
    }
  }
}

}  // namespace seamwright::days_detail
