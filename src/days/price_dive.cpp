#include <numeric>

#include "days/best_way.h"

namespace seamwright::days_detail {
namespace {

/// One printer after the other takes the loads that pay most for its hours at
/// the bound's prices; what is left over goes where it ends soonest.
class PriceDive {
 public:
  PriceDive(std::span<const CalendarLoad> loads, std::span<const Item> items,
            std::span<const Timeline> timelines, std::span<const double> prices, Minute target_min)
      : loads_(loads),
        items_(items),
        timelines_(timelines),
        prices_(prices),
        target_min_(target_min) {}

  std::optional<Sequences> run() {
    sequences_.assign(timelines_.size(), {});
    if (!place_bound_items()) return std::nullopt;
    for (std::size_t printer = 0; printer < timelines_.size(); ++printer) fill(printer);
    for (const std::size_t item : left_) {
      if (!insert(item)) return std::nullopt;
    }
    return sequences_;
  }

 private:
  /// Trials and spool groups first, where they end soonest; the others are what
  /// is left.
  bool place_bound_items() {
    for (std::size_t item = 0; item < items_.size(); ++item) {
      const bool is_free = items_[item].loads.size() == 1 && !items_[item].is_trial;
      if (is_free)
        left_.push_back(item);
      else if (!append_soonest(item))
        return false;
    }
    std::stable_sort(left_.begin(), left_.end(),
                     [&](std::size_t a, std::size_t b) { return least_min(a) > least_min(b); });
    return true;
  }
  Minute least_min(std::size_t item) const {
    Minute least = kNever;
    for (const auto& print : loads_[items_[item].loads.front()].print_min) {
      if (print) least = std::min(least, *print);
    }
    return least;
  }
  bool append_soonest(std::size_t item) {
    std::size_t best = 0;
    Minute best_end = kNever;
    for (std::size_t p = 0; p < timelines_.size(); ++p) {
      std::vector<std::size_t> sequence = sequences_[p];
      sequence.push_back(item);
      const Minute end = end_of(timelines_[p], items_, sequence);
      if (end >= best_end) continue;
      best = p;
      best_end = end;
    }
    if (best_end >= kNever) return false;
    sequences_[best].push_back(item);
    return true;
  }

  void fill(std::size_t printer) {
    const Timeline& timeline = timelines_[printer];
    const Minute begin = end_of(timeline, items_, sequences_[printer]);
    if (left_.empty() || begin >= target_min_) return;
    for (const std::size_t item : best_choice(printer, begin)) take(printer, item);
    lengthen(printer);
  }

  /// The loads of the best way through the printer's hours, in order, each
  /// once: of loads that the way repeats, the next shorter ones.
  std::vector<std::size_t> best_choice(std::size_t printer, Minute begin) const {
    const Timeline& timeline = timelines_[printer];
    std::vector<std::size_t> chosen;
    for (const std::size_t item : left_) chosen.push_back(items_[item].loads.front());
    PriceCurve curve(loads_, chosen, prices_);
    BestWay rough(timeline, chosen, begin, target_min_, kRoughMin);
    const auto share = static_cast<double>(timelines_.size() - printer);
    for (int round = 0; round < kRounds; ++round) {
      rough.solve(curve.prices());
      std::vector<double> uses(loads_.size(), 0.0);
      for (const std::size_t load : rough.loads_until(target_min_)) uses[load] += share;
      curve.learn(uses, 0.1 / (1 + 0.05 * round));
    }
    BestWay way(timeline, chosen, begin, target_min_, 1);
    way.solve(curve.prices());
    std::vector<std::size_t> steps = way.loads_until(target_min_);
    std::reverse(steps.begin(), steps.end());
    return each_once(steps, timeline);
  }

  std::vector<std::size_t> each_once(const std::vector<std::size_t>& steps,
                                     const Timeline& timeline) const {
    std::vector<std::size_t> order(steps.size()), item_of(steps.size(), kNone);
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
      return timeline.print_min(steps[a]) > timeline.print_min(steps[b]);
    });
    std::vector<bool> is_taken(items_.size(), false);
    for (const std::size_t step : order) {
      for (const std::size_t item : left_) {  // longest first
        const auto print = timeline.print_min(items_[item].loads.front());
        if (is_taken[item] || !print || *print > *timeline.print_min(steps[step])) continue;
        item_of[step] = item;
        is_taken[item] = true;
        break;
      }
    }
    std::erase(item_of, kNone);
    return item_of;
  }

  void take(std::size_t printer, std::size_t item) {
    sequences_[printer].push_back(item);
    if (end_of(timelines_[printer], items_, sequences_[printer]) > target_min_)
      sequences_[printer].pop_back();
    else
      std::erase(left_, item);
  }

  /// Changes each load for the longest that is left and still ends in time.
  void lengthen(std::size_t printer) {
    const Timeline& timeline = timelines_[printer];
    std::vector<std::size_t>& sequence = sequences_[printer];
    for (std::size_t& place : sequence) {
      if (items_[place].loads.size() != 1 || items_[place].is_trial) continue;
      const std::size_t before = place;
      const Minute now_min = *timeline.print_min(items_[before].loads.front());
      for (const std::size_t item : left_) {
        const auto print = timeline.print_min(items_[item].loads.front());
        if (!print) continue;
        if (*print <= now_min) break;
        place = item;
        if (end_of(timeline, items_, sequence) <= target_min_) break;
        place = before;
      }
      if (place == before) continue;
      std::erase(left_, place);
      left_.insert(std::upper_bound(
                       left_.begin(), left_.end(), before,
                       [&](std::size_t a, std::size_t b) { return least_min(a) > least_min(b); }),
                   before);
    }
  }

  /// Where the latest end grows least.
  bool insert(std::size_t item) {
    Minute best_end = kNever;
    std::size_t best_printer = 0, best_at = 0;
    for (std::size_t p = 0; p < timelines_.size(); ++p) {
      std::vector<std::size_t> sequence = sequences_[p];
      std::size_t first = 0;  // behind the trials
      while (first < sequence.size() && items_[sequence[first]].is_trial) ++first;
      sequence.insert(sequence.begin() + static_cast<std::ptrdiff_t>(first), item);
      for (std::size_t at = first; at < sequence.size(); ++at) {
        const Minute end = end_of(timelines_[p], items_, sequence);
        if (end < best_end) {
          best_end = end;
          best_printer = p;
          best_at = at;
        }
        if (at + 1 < sequence.size()) std::swap(sequence[at], sequence[at + 1]);
      }
    }
    if (best_end >= kNever) return false;
    auto& sequence = sequences_[best_printer];
    sequence.insert(sequence.begin() + static_cast<std::ptrdiff_t>(best_at), item);
    return true;
  }

  static constexpr int kRounds = 20;
  static constexpr Minute kRoughMin = 5;
  static constexpr std::size_t kNone = std::numeric_limits<std::size_t>::max();
  std::span<const CalendarLoad> loads_;
  std::span<const Item> items_;
  std::span<const Timeline> timelines_;
  std::span<const double> prices_;
  Minute target_min_;
  Sequences sequences_;
  std::vector<std::size_t> left_;  ///< items not placed yet, the longest first
};

}  // namespace

std::optional<Sequences> dive_by_prices(std::span<const CalendarLoad> loads,
                                        std::span<const Item> items,
                                        std::span<const Timeline> timelines,
                                        std::span<const double> prices, Minute target_min) {
  return PriceDive(loads, items, timelines, prices, target_min).run();
}

}  // namespace seamwright::days_detail
