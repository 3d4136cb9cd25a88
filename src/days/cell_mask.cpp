#include "days/cell_mask.h"

#include <algorithm>

namespace seamwright::days_detail {
namespace {

/// Coordinates are in cells here; contact within this of a border doesn't count.
constexpr double kTouch = 1e-6;

int first_cell(double x) {
  return static_cast<int>(std::floor(x + kTouch));
}
int past_cell(double x) {
  return static_cast<int>(std::ceil(x - kTouch));
}

class Rows {
 public:
  explicit Rows(int count)
      : runs_(static_cast<std::size_t>(count)), crossings_(static_cast<std::size_t>(count)) {}

  /// The cells an edge passes, row by row, and where it crosses the rows' middles.
  void add_edge(Vec2 a, Vec2 b) {
    if (a.y > b.y) std::swap(a, b);
    const int begin = std::max(0, first_cell(a.y));
    const int end = std::min(static_cast<int>(runs_.size()), past_cell(b.y));
    const auto x_at = [&](double y) {
      const double t = b.y > a.y ? std::clamp((y - a.y) / (b.y - a.y), 0.0, 1.0) : 0.0;
      return a.x + (b.x - a.x) * t;
    };
    if (a.y == b.y) {  // lies along a row, whose middle it may not reach
      for (int row = begin; row < end; ++row) add(row, std::min(a.x, b.x), std::max(a.x, b.x));
      return;
    }
    for (int row = begin; row < end; ++row) {
      const double from = x_at(std::max<double>(row, a.y)),
                   to = x_at(std::min<double>(row + 1, b.y));
      add(row, std::min(from, to), std::max(from, to));
      const double middle = row + 0.5;
      if (a.y <= middle && middle < b.y)
        crossings_[static_cast<std::size_t>(row)].push_back(x_at(middle));
    }
  }

  std::vector<std::vector<CellRun>> finish() {
    for (std::size_t row = 0; row < runs_.size(); ++row) {
      std::vector<double>& xs = crossings_[row];
      std::sort(xs.begin(), xs.end());
      for (std::size_t i = 0; i + 1 < xs.size(); i += 2)
        add(static_cast<int>(row), xs[i], xs[i + 1]);
      merge(runs_[row]);
    }
    return std::move(runs_);
  }

 private:
  void add(int row, double from, double to) {
    const CellRun run{first_cell(from), past_cell(to)};
    if (run.begin < run.end) runs_[static_cast<std::size_t>(row)].push_back(run);
  }
  static void merge(std::vector<CellRun>& runs) {
    std::sort(runs.begin(), runs.end(),
              [](const CellRun& a, const CellRun& b) { return a.begin < b.begin; });
    std::vector<CellRun> merged;
    for (const CellRun& run : runs) {
      if (!merged.empty() && run.begin <= merged.back().end)
        merged.back().end = std::max(merged.back().end, run.end);
      else
        merged.push_back(run);
    }
    runs = std::move(merged);
  }
  std::vector<std::vector<CellRun>> runs_;
  std::vector<std::vector<double>> crossings_;
};

}  // namespace

CellMask mask_of(const std::vector<Loop2>& loops, double cell_mm, Vec2 low) {
  Vec2 high = low;
  for (const Loop2& loop : loops) {
    for (const Vec2 p : loop) high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  CellMask mask{
      low, past_cell((high.x - low.x) / cell_mm), past_cell((high.y - low.y) / cell_mm), {}, 0};
  Rows rows(mask.height);
  for (const Loop2& loop : loops) {
    for (std::size_t i = 0; i < loop.size(); ++i)
      rows.add_edge((loop[i] - low) / cell_mm, (loop[(i + 1) % loop.size()] - low) / cell_mm);
  }
  mask.rows = rows.finish();
  for (const auto& row : mask.rows) {
    for (const CellRun& run : row) mask.cell_count += run.end - run.begin;
  }
  return mask;
}

CellMask mask_of(const std::vector<Loop2>& loops, double cell_mm) {
  Vec2 low{Box3::kFar, Box3::kFar};
  for (const Loop2& loop : loops) {
    for (const Vec2 p : loop) low = {std::min(low.x, p.x), std::min(low.y, p.y)};
  }
  return mask_of(loops, cell_mm, loops.empty() ? Vec2{} : low);
}

}  // namespace seamwright::days_detail
