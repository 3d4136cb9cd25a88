#include <algorithm>
#include <cmath>
#include <map>

#include "days/timeline.h"

namespace seamwright::days_detail {
namespace {

/// Printers that nothing tells apart share one dynamic program.
struct PrinterClass {
  std::size_t printer = 0;
  double count = 0;
};

bool are_alike(const CalendarPrinter& a, const CalendarPrinter& b) {
  return a.awake == b.awake && a.home == b.home && a.swap_min == b.swap_min;
}

std::vector<PrinterClass> classes_of(std::span<const CalendarLoad> loads,
                                     std::span<const CalendarPrinter> printers) {
  std::vector<PrinterClass> classes;
  for (std::size_t i = 0; i < printers.size(); ++i) {
    const auto known = std::find_if(classes.begin(), classes.end(), [&](const PrinterClass& c) {
      return are_alike(printers[c.printer], printers[i]) &&
             std::all_of(loads.begin(), loads.end(), [&](const CalendarLoad& load) {
               return load.print_min[c.printer] == load.print_min[i];
             });
    });
    if (known == classes.end())
      classes.push_back({i, 1});
    else
      known->count += 1;
  }
  return classes;
}

/// The best a printer can earn by each minute, each print paid by its load's price.
class BestWay {
 public:
  BestWay(const Timeline& timeline, std::size_t load_count, Minute from, Minute end)
      : timeline_(timeline),
        from_(from),
        best_(static_cast<std::size_t>(end - from + 1)),
        step_(best_.size()) {
    for (std::size_t load = 0; load < load_count; ++load) {
      if (const auto print = timeline.print_min(load)) by_length_[*print].push_back(load);
    }
  }

  /// Fills best(): prices are per load; among loads of one length the dearest counts.
  void solve(std::span<const double> prices) {
    choose_dearest(prices);
    std::fill(best_.begin(), best_.end(), 0.0);
    std::fill(step_.begin(), step_.end(), Step{});
    Minute minute = from_;
    for (const Timeline::Opening& opening : timeline_.openings()) {
      if (opening.awake_end <= from_) continue;
      const Minute begin = std::max(opening.begin, from_);
      if (begin > last()) break;
      for (; minute < begin; ++minute) carry(minute);
      for (; minute < std::min(opening.awake_end, last()); ++minute) {
        start_at(minute, opening);
        carry(minute);
      }
    }
    for (; minute < last(); ++minute) carry(minute);
  }

  double best(Minute minute) const { return best_[index(minute)]; }

  /// How often each load is on the best way to `minute`, times `weight`.
  void count_uses(Minute minute, double weight, std::vector<double>& uses) const {
    while (minute > from_) {
      const Step& step = step_[index(minute)];
      if (step.minutes == 0) {
        --minute;
        continue;
      }
      uses[step.load] += weight;
      minute -= step.minutes;
    }
  }

 private:
  struct Step {
    std::uint32_t load = 0;
    std::uint32_t minutes = 0;  ///< 0: waited
  };
  struct Length {
    Minute print_min = 0;
    double price = 0;
    std::uint32_t load = 0;
  };
  std::size_t index(Minute minute) const { return static_cast<std::size_t>(minute - from_); }
  Minute last() const { return from_ + static_cast<Minute>(best_.size()) - 1; }

  void choose_dearest(std::span<const double> prices) {
    lengths_.clear();
    for (const auto& [print, loads] : by_length_) {
      std::size_t dearest = loads.front();
      for (const std::size_t load : loads) {
        if (prices[load] > prices[dearest]) dearest = load;
      }
      lengths_.push_back({print, prices[dearest], static_cast<std::uint32_t>(dearest)});
    }
  }
  void carry(Minute minute) {
    const std::size_t i = index(minute);
    if (best_[i + 1] >= best_[i]) return;
    best_[i + 1] = best_[i];
    step_[i + 1] = {};
  }
  void start_at(Minute minute, const Timeline::Opening& opening) {
    const Minute swap = timeline_.printer().swap_min;
    if (minute + swap > opening.awake_end) return;
    const double earned = best_[index(minute)];
    for (const Length& length : lengths_) {
      const Minute end = minute + swap + length.print_min;
      if (end > opening.home_end || end > last()) break;  // lengths rise
      double& best = best_[index(end)];
      if (earned + length.price <= best) continue;
      best = earned + length.price;
      step_[index(end)] = {length.load, static_cast<std::uint32_t>(end - minute)};
    }
  }

  const Timeline& timeline_;
  Minute from_;
  std::vector<double> best_;
  std::vector<Step> step_;
  std::map<Minute, std::vector<std::size_t>> by_length_;
  std::vector<Length> lengths_;
};

/// The single load that ends latest even when it goes first.
Minute longest_load_end(std::span<const CalendarLoad> loads, std::span<const Timeline> timelines,
                        Minute from_min) {
  Minute latest = from_min;
  for (std::size_t load = 0; load < loads.size(); ++load) {
    Minute earliest = kNever;
    for (const Timeline& timeline : timelines) {
      const auto print = timeline.print_min(load);
      if (!print) continue;
      const Minute swap = timeline.printer().swap_min;
      if (const auto begin = timeline.earliest_swap(from_min, swap, *print))
        earliest = std::min(earliest, *begin + swap + *print);
    }
    latest = std::max(latest, earliest);
  }
  return latest;
}

}  // namespace

Minute lower_bound(std::span<const CalendarLoad> loads, std::span<const Timeline> timelines,
                   std::span<const CalendarPrinter> printers, Minute from_min, Minute upper_min) {
  constexpr int kRounds = 60;
  Minute bound = longest_load_end(loads, timelines, from_min);
  const std::vector<PrinterClass> classes = classes_of(loads, printers);
  std::vector<BestWay> ways;
  for (const PrinterClass& c : classes)
    ways.emplace_back(timelines[c.printer], loads.size(), from_min, upper_min);
  std::vector<double> prices(loads.size(), 0);
  for (std::size_t i = 0; i < loads.size(); ++i) {
    for (const auto& print : loads[i].print_min) {
      if (print)
        prices[i] = prices[i] == 0 ? static_cast<double>(*print)
                                   : std::min(prices[i], static_cast<double>(*print));
    }
  }
  for (int round = 0; round < kRounds && bound < upper_min; ++round) {
    double owed = 0;
    for (const double price : prices) owed += price;
    for (BestWay& way : ways) way.solve(prices);
    const auto earned = [&](Minute minute) {
      double sum = 0;
      for (std::size_t i = 0; i < ways.size(); ++i) sum += classes[i].count * ways[i].best(minute);
      return sum;
    };
    Minute low = from_min, high = upper_min;  // earned() rises with time
    while (low < high) {
      const Minute middle = low + (high - low) / 2;
      if (earned(middle) >= owed * (1 - 1e-12))
        high = middle;
      else
        low = middle + 1;
    }
    bound = std::max(bound, low);
    std::vector<double> uses(loads.size(), 0);
    for (std::size_t i = 0; i < ways.size(); ++i) ways[i].count_uses(low, classes[i].count, uses);
    const double step = 0.25 / (1 + 0.15 * round);
    for (std::size_t i = 0; i < prices.size(); ++i)
      prices[i] *= std::exp(step * std::clamp(1 - uses[i], -2.0, 1.0));
  }
  return std::min(bound, upper_min);
}

}  // namespace seamwright::days_detail
