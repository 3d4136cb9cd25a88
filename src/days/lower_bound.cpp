#include <numeric>

#include "days/best_way.h"

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

/// When printers can first have earned what is owed: earnings rise with time.
Minute earliest_paid(std::span<const BestWay> ways, std::span<const PrinterClass> classes,
                     double owed, Minute low, Minute high) {
  while (low < high) {
    const Minute middle = low + (high - low) / 2;
    double earned = 0;
    for (std::size_t i = 0; i < ways.size(); ++i) earned += classes[i].count * ways[i].best(middle);
    if (earned >= owed * (1 - 1e-12))
      high = middle;
    else
      low = middle + 1;
  }
  return low;
}

/// How often each load is on the printers' best ways.
std::vector<double> uses_until(Minute end, std::span<const BestWay> ways,
                               std::span<const PrinterClass> classes, std::size_t load_count) {
  std::vector<double> uses(load_count, 0.0);
  for (std::size_t i = 0; i < ways.size(); ++i) {
    for (const std::size_t load : ways[i].loads_until(end)) uses[load] += classes[i].count;
  }
  return uses;
}

/// Learns prices on ways that are counted in cells of `cell_min`, and keeps
/// those that bound best.
class PriceLearner {
 public:
  PriceLearner(std::span<const CalendarLoad> loads, std::span<const Timeline> timelines,
               std::span<const CalendarPrinter> printers, Minute from_min, Minute upper_min)
      : loads_(loads),
        timelines_(timelines),
        classes_(classes_of(loads, printers)),
        from_min_(from_min),
        upper_min_(upper_min),
        all_(loads.size()) {
    std::iota(all_.begin(), all_.end(), 0);
  }

  /// Rounds from `begin` on, until `end`; leaves the curve that bounds best.
  /// When it has become smooth it gets one more bend every so often. What the
  /// printers choose is asked at `aim_min`, later when more than that is proved.
  Bound learn(PriceCurve& best_curve, Minute cell_min, int begin, int end, Minute aim_min) const {
    std::vector<BestWay> ways;
    for (const PrinterClass& c : classes_)
      ways.emplace_back(timelines_[c.printer], all_, from_min_, upper_min_, cell_min);
    Bound bound{from_min_, {}};
    PriceCurve curve = best_curve;
    constexpr int kSmoothRounds = 100, kRefineEvery = 10;
    constexpr std::size_t kMostBends = 60;
    for (int round = begin; round < end && bound.minute < upper_min_; ++round) {
      const std::span<const double> prices = curve.prices();
      const double owed = std::accumulate(prices.begin(), prices.end(), 0.0);
      for (BestWay& way : ways) way.solve(prices);
      const Minute paid = earliest_paid(ways, classes_, owed, from_min_, upper_min_);
      if (paid > bound.minute || bound.prices.empty()) {
        bound = {paid, {prices.begin(), prices.end()}};
        best_curve = curve;
      }
      curve.learn(uses_until(std::max(paid, aim_min), ways, classes_, loads_.size()),
                  0.3 / (1 + 0.05 * round));
      if (round >= kSmoothRounds && round % kRefineEvery == kRefineEvery - 1)
        curve.refine(kMostBends);
    }
    return bound;
  }

 private:
  std::span<const CalendarLoad> loads_;
  std::span<const Timeline> timelines_;
  std::vector<PrinterClass> classes_;
  Minute from_min_, upper_min_;
  std::vector<std::size_t> all_;
};

}  // namespace

Bound lower_bound(std::span<const CalendarLoad> loads, std::span<const Timeline> timelines,
                  std::span<const CalendarPrinter> printers, const BoundQuestion& asked) {
  constexpr int kExactRounds = 30;
  constexpr Minute kRoughMin = 3;
  std::vector<std::size_t> all(loads.size());
  std::iota(all.begin(), all.end(), 0);
  const Minute aim_min = std::min(asked.aim_min, asked.upper_min);
  const PriceLearner learner(loads, timelines, printers, asked.from_min, asked.upper_min);
  PriceCurve curve(loads, all);
  learner.learn(curve, kRoughMin, 0, asked.rounds, aim_min);
  // Whatever the rough rounds learned, the exact ones bound.
  Bound bound = learner.learn(curve, 1, asked.rounds, asked.rounds + kExactRounds, aim_min);
  bound.minute =
      std::clamp(bound.minute, longest_load_end(loads, timelines, asked.from_min), asked.upper_min);
  return bound;
}

}  // namespace seamwright::days_detail
