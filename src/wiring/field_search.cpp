#include "wiring/field_search.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>
#include <queue>
#include <unordered_set>

namespace seamwright::wiring_detail {
namespace {

constexpr double kDeepMm = 25;  // deeper than this a place is as good as any
constexpr double kShallowCost = 3;
constexpr std::size_t kBlock = 4;  // nodes along a corridor's block
constexpr std::uint32_t kNone = 0xffffffffu;

struct Visit {
  float cost = std::numeric_limits<float>::infinity();
  std::uint32_t before = kNone;
  bool is_closed = false, is_goal = false;
};

/// What is known of the nodes reached; memory only for those, in runs of 64.
class Visits {
 public:
  explicit Visits(std::size_t count) : place_(count / kRun + 1, kNone) {}
  Visit& at(std::size_t node) {
    std::uint32_t& place = place_[node / kRun];
    if (place == kNone) {
      place = static_cast<std::uint32_t>(runs_.size());
      runs_.emplace_back();
    }
    return runs_[place][node % kRun];
  }

 private:
  static constexpr std::size_t kRun = 64;
  std::vector<std::uint32_t> place_;
  std::vector<std::array<Visit, kRun>> runs_;
};

struct Open {
  double guess = 0;
  std::size_t node = 0;
  friend bool operator>(const Open& a, const Open& b) {
    return a.guess != b.guess ? a.guess > b.guess : a.node > b.node;
  }
};

using Corridor = std::unordered_set<std::size_t>;

class FieldSearch {
 public:
  FieldSearch(const DepthGrid& grid, const FieldQuestion& question, std::size_t stride,
              const Corridor* corridor)
      : grid_(grid),
        question_(question),
        stride_(stride),
        corridor_(corridor),
        visits_(grid.depth_mm.size()) {}

  std::vector<std::size_t> run() {
    for (const std::size_t node : question_.goals) {
      if (is_on_stride(node)) visits_.at(node).is_goal = true;
    }
    for (const std::size_t node : question_.starts) {
      if (is_on_stride(node)) reach(node, kNone, norm(grid_.place(node) - question_.from));
    }
    while (!open_.empty()) {
      const std::size_t node = open_.top().node;
      open_.pop();
      Visit& visit = visits_.at(node);
      if (visit.is_closed) continue;
      visit.is_closed = true;
      if (visit.is_goal) return way_to(node);
      expand(node, visit.cost);
    }
    return {};
  }

 private:
  bool is_on_stride(std::size_t node) const {
    const auto at = grid_.coordinates(node);
    return at[0] % stride_ == 0 && at[1] % stride_ == 0 && at[2] % stride_ == 0;
  }

  bool is_open(std::size_t node) const {
    return node < grid_.depth_mm.size() && !question_.is_blocked[node] &&
           grid_.depth_mm[node] >= question_.clear_mm - 0.3 * grid_.step_mm;
  }

  void reach(std::size_t node, std::uint32_t before, double cost) {
    Visit& visit = visits_.at(node);
    const auto total = static_cast<float>(cost);
    if (visit.is_closed || total >= visit.cost) return;
    visit.cost = total;
    visit.before = before;
    open_.push({total + norm(grid_.place(node) - question_.to), node});
  }

  void expand(std::size_t node, double cost) {
    const auto row = static_cast<std::ptrdiff_t>(grid_.count[0]),
               layer = row * static_cast<std::ptrdiff_t>(grid_.count[1]);
    for (int k = 0; k < 27; ++k) {
      const int dx = k % 3 - 1, dy = k / 3 % 3 - 1, dz = k / 9 - 1;
      if (k == 13) continue;
      // The grid's rim is outside the body, so neighbours never wrap round.
      std::size_t next = node;
      bool is_free = true;
      for (std::size_t s = 0; s < stride_ && is_free; ++s) {
        next = static_cast<std::size_t>(static_cast<std::ptrdiff_t>(next) + dz * layer + dy * row +
                                        dx);
        is_free = is_open(next);
      }
      if (!is_free || (corridor_ != nullptr && !corridor_->contains(block_of(next)))) continue;
      const double shallow =
          std::max(0.0, 1 - (grid_.depth_mm[next] - question_.clear_mm) / kDeepMm);
      const double step_mm = grid_.step_mm * static_cast<double>(stride_) *
                             std::sqrt(static_cast<double>(dx * dx + dy * dy + dz * dz));
      reach(next, static_cast<std::uint32_t>(node),
            cost + step_mm * (1 + kShallowCost * shallow * shallow * shallow));
    }
  }

  std::vector<std::size_t> way_to(std::size_t end) {
    std::vector<std::size_t> way;
    for (auto node = static_cast<std::uint32_t>(end); node != kNone; node = visits_.at(node).before)
      way.push_back(node);
    std::reverse(way.begin(), way.end());
    return way;
  }

  std::size_t block_of(std::size_t node) const {
    const auto at = grid_.coordinates(node);
    return ((at[2] / kBlock) * grid_.count[1] + at[1] / kBlock) * grid_.count[0] + at[0] / kBlock;
  }

  const DepthGrid& grid_;
  const FieldQuestion& question_;
  std::size_t stride_;
  const Corridor* corridor_;
  Visits visits_;
  std::priority_queue<Open, std::vector<Open>, std::greater<>> open_;
};

/// The blocks that a way, its mouths and all their neighbours lie in.
Corridor corridor_along(const DepthGrid& grid, std::span<const std::size_t> way) {
  Corridor blocks;
  for (const std::size_t node : way) {
    const auto at = grid.coordinates(node);
    for (int k = 0; k < 27; ++k) {
      const auto block = [&](std::size_t axis, int step) {
        return std::max<std::ptrdiff_t>(0, static_cast<std::ptrdiff_t>(at[axis] / kBlock) + step);
      };
      const std::ptrdiff_t x = block(0, k % 3 - 1), y = block(1, k / 3 % 3 - 1),
                           z = block(2, k / 9 - 1);
      blocks.insert((static_cast<std::size_t>(z) * grid.count[1] + static_cast<std::size_t>(y)) *
                        grid.count[0] +
                    static_cast<std::size_t>(x));
    }
  }
  return blocks;
}

}  // namespace

std::vector<std::size_t> cheapest_way(const DepthGrid& grid, const FieldQuestion& question) {
  const std::vector<std::size_t> coarse = FieldSearch(grid, question, 2, nullptr).run();
  if (!coarse.empty()) {
    const Corridor corridor = corridor_along(grid, coarse);
    const std::vector<std::size_t> way = FieldSearch(grid, question, 1, &corridor).run();
    if (!way.empty()) return way;
  }
  return FieldSearch(grid, question, 1, nullptr).run();
}

}  // namespace seamwright::wiring_detail
