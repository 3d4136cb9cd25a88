#pragma once

#include <algorithm>
#include <cmath>
#include <map>

#include "days/timeline.h"

namespace seamwright::days_detail {

/// The best a printer can earn by each moment, each print paid by its load's
/// price. Time is counted in cells of `cell_min` minutes: exact with 1; larger
/// ones are quicker and serve for learning prices only.
class BestWay {
 public:
  BestWay(const Timeline& timeline, std::span<const std::size_t> loads, Minute from, Minute end,
          Minute cell_min)
      : from_(from),
        cell_min_(cell_min),
        best_(static_cast<std::size_t>((end - from) / cell_min + 1)),
        step_(best_.size()) {
    const Minute swap = timeline.printer().swap_min;
    for (const std::size_t load : loads) {
      if (const auto print = timeline.print_min(load))
        by_cells_[std::max<Minute>(1, (swap + *print + cell_min / 2) / cell_min)].push_back(load);
    }
    for (const Timeline::Opening& opening : timeline.openings()) {
      if (opening.awake_end - swap < from) continue;
      const Minute begin = std::max(opening.begin, from);
      openings_.push_back({(begin - from + cell_min - 1) / cell_min,
                           (opening.awake_end - swap - from) / cell_min,
                           (opening.home_end - from) / cell_min});
    }
  }

  /// Fills best(): prices are per load; among loads of one length the dearest
  /// counts.
  void solve(std::span<const double> prices) {
    choose_dearest(prices);
    std::fill(best_.begin(), best_.end(), 0.0);
    std::fill(step_.begin(), step_.end(), Step{});
    const auto last = static_cast<Minute>(best_.size()) - 1;
    Minute cell = 0;
    for (const CellOpening& opening : openings_) {
      for (; cell < std::min(opening.begin, last); ++cell) carry(cell);
      for (; cell <= std::min(opening.last_start, last - 1); ++cell) {
        start_at(cell, std::min(opening.home_end, last));
        carry(cell);
      }
    }
    for (; cell < last; ++cell) carry(cell);
  }

  double best(Minute minute) const { return best_[index((minute - from_) / cell_min_)]; }

  /// The loads on the best way to `minute`, the last one first; some may be
  /// there more than once.
  std::vector<std::size_t> loads_until(Minute minute) const {
    std::vector<std::size_t> loads;
    for (Minute cell = (minute - from_) / cell_min_; cell > 0;) {
      const Step& step = step_[index(cell)];
      if (step.cells > 0) loads.push_back(step.load);
      cell -= std::max<Minute>(1, step.cells);
    }
    return loads;
  }

 private:
  struct Step {
    std::uint32_t load = 0;
    std::uint32_t cells = 0;  ///< 0: waited
  };
  struct Length {
    Minute cells = 0;  ///< with its swap
    double price = 0;
    std::uint32_t load = 0;
  };
  struct CellOpening {
    Minute begin = 0, last_start = 0, home_end = 0;
  };
  static std::size_t index(Minute cell) { return static_cast<std::size_t>(cell); }

  void choose_dearest(std::span<const double> prices) {
    lengths_.clear();
    for (const auto& [cells, loads] : by_cells_) {
      std::size_t dearest = loads.front();
      for (const std::size_t load : loads) {
        if (prices[load] > prices[dearest]) dearest = load;
      }
      lengths_.push_back({cells, prices[dearest], static_cast<std::uint32_t>(dearest)});
    }
  }
  void carry(Minute cell) {
    const std::size_t i = index(cell);
    if (best_[i + 1] >= best_[i]) return;
    best_[i + 1] = best_[i];
    step_[i + 1] = {};
  }
  void start_at(Minute cell, Minute last_end) {
    const double earned = best_[index(cell)];
    for (const Length& length : lengths_) {
      if (cell + length.cells > last_end) break;  // lengths rise
      double& best = best_[index(cell + length.cells)];
      if (earned + length.price <= best) continue;
      best = earned + length.price;
      step_[index(cell + length.cells)] = {length.load, static_cast<std::uint32_t>(length.cells)};
    }
  }

  Minute from_, cell_min_;
  std::vector<double> best_;
  std::vector<Step> step_;
  std::vector<CellOpening> openings_;
  std::map<Minute, std::vector<std::size_t>> by_cells_;
  std::vector<Length> lengths_;
};

/// Prices of loads as a smooth curve over their length, since single prices
/// learn too slowly: two loads of nearly one length are nearly one load. Bends
/// at `kNodes` lengths at most, where loads lie densest.
class PriceCurve {
 public:
  /// Begins with the given prices by load, or without them with each load's
  /// length, the least of its printers'.
  PriceCurve(std::span<const CalendarLoad> loads, std::span<const std::size_t> chosen,
             std::span<const double> begin = {});

  std::span<const double> prices() const { return prices_; }  ///< by load; 0 for those not chosen
  /// Dearer where loads were left out, cheaper where they were taken more than
  /// once.
  void learn(std::span<const double> uses, double step);
  /// One more bend where the curve is steepest, at the middle of the loads
  /// there, until there are `most_bends`.
  void refine(std::size_t most_bends);

 private:
  static constexpr std::size_t kNodes = 16;
  struct Place {
    std::size_t load = 0, node = 0;
    double length_min = 0, share_ratio = 0;  ///< between this node and the next
  };
  void set_places();
  void set_prices();
  std::vector<double> nodes_min_, factors_, prices_;
  std::vector<Place> places_;
};

}  // namespace seamwright::days_detail
