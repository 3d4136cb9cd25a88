#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "days/timeline.h"
#include "seamwright/core/random.h"

namespace seamwright::days_detail {
namespace {

Minute item_min(const Item& item, std::span<const Timeline> timelines) {
  Minute sum = 0;
  for (const std::size_t load : item.loads) {
    Minute least = kNever;
    for (const Timeline& timeline : timelines) {
      if (const auto print = timeline.print_min(load)) least = std::min(least, *print);
    }
    sum += least;
  }
  return sum;
}

/// Fills a printer's hours well rather than early: one load, or two in a row,
/// with the most printing for the time until the printer can be touched again.
class HourFiller {
 public:
  HourFiller(std::span<const Item> items, std::span<const Timeline> timelines)
      : items_(items), timelines_(timelines), sequences_(timelines.size()) {
    for (const Timeline& timeline : timelines) states_.push_back(timeline.begin());
  }

  /// Nothing when an item finds no window on the printer whose turn it is.
  std::optional<Sequences> run() {
    std::vector<std::size_t> trials, rest;
    for (std::size_t i = 0; i < items_.size(); ++i)
      (items_[i].is_trial ? trials : rest).push_back(i);
    for (std::vector<std::size_t>* left : {&trials, &rest}) {
      while (!left->empty()) {
        const std::size_t printer = next_printer();
        const Choice choice = best_choice(printer, *left);
        if (choice.first == kNone) return std::nullopt;
        for (const std::size_t item : {choice.first, choice.second}) {
          if (item == kNone) continue;
          timelines_[printer].append(states_[printer], items_[item]);
          sequences_[printer].push_back(item);
          std::erase(*left, item);
        }
      }
    }
    return sequences_;
  }

 private:
  static constexpr std::size_t kNone = std::numeric_limits<std::size_t>::max();
  static constexpr std::size_t kMostTried = 220;  ///< items; pairs grow with its square
  struct Choice {
    std::size_t first = kNone, second = kNone;
    double rate = -1;
  };

  std::size_t next_printer() const {
    std::size_t best = 0;
    for (std::size_t i = 1; i < states_.size(); ++i) {
      if (states_[i].free_min < states_[best].free_min) best = i;
    }
    return best;
  }
  Minute print_min(const Timeline& timeline, std::size_t item) const {
    Minute sum = 0;
    for (const std::size_t load : items_[item].loads) sum += timeline.print_min(load).value_or(0);
    return sum;
  }
  void judge(Choice& best, const Timeline& timeline, Minute from, const PrinterState& after,
             Minute printed, std::size_t first, std::size_t second) const {
    const auto again = timeline.earliest_swap(after.free_min, timeline.printer().swap_min, 0);
    if (!again) return;
    const double rate =
        static_cast<double>(printed) / static_cast<double>(std::max<Minute>(1, *again - from));
    if (rate > best.rate + 1e-12) best = {first, second, rate};
  }
  Choice best_choice(std::size_t printer, const std::vector<std::size_t>& left) const {
    const Timeline& timeline = timelines_[printer];
    const Minute from = states_[printer].free_min;
    Choice best;
    const std::size_t tried = std::min(left.size(), kMostTried);
    for (std::size_t a = 0; a < tried; ++a) {
      PrinterState one = states_[printer];
      if (!timeline.append(one, items_[left[a]])) continue;
      const Minute first_min = print_min(timeline, left[a]);
      judge(best, timeline, from, one, first_min, left[a], kNone);
      for (std::size_t b = 0; b < tried; ++b) {
        PrinterState two = one;
        if (a == b || !timeline.append(two, items_[left[b]])) continue;
        judge(best, timeline, from, two, first_min + print_min(timeline, left[b]), left[a],
              left[b]);
      }
    }
    return best;
  }

  std::span<const Item> items_;
  std::span<const Timeline> timelines_;
  Sequences sequences_;
  std::vector<PrinterState> states_;
};

Minute latest_end(const Sequences& sequences, std::span<const Item> items,
                  std::span<const Timeline> timelines) {
  Minute latest = 0;
  for (std::size_t i = 0; i < timelines.size(); ++i)
    latest = std::max(latest, end_of(timelines[i], items, sequences[i]));
  return latest;
}

class Annealer {
 public:
  Annealer(std::span<const Item> items, std::span<const Timeline> timelines, Minute bound_min,
           const CalendarOptions& options)
      : items_(items),
        timelines_(timelines),
        bound_min_(bound_min),
        options_(options),
        random_(options.seed) {}

  Sequences run(Sequences start, const Run& run) {
    now_ = std::move(start);
    for (std::size_t i = 0; i < now_.size(); ++i) ends_.push_back(end(now_[i], i));
    double cost = cost_of(ends_);
    Sequences best = now_;
    Minute best_end = latest(ends_);
    const double hot = 90, cold = 2;  // minutes
    for (std::size_t move = 0; move < options_.move_count && best_end > bound_min_; ++move) {
      if (move % 4096 == 0 && run.should_finish()) break;
      const double share = static_cast<double>(move) / static_cast<double>(options_.move_count);
      const double heat = hot * std::pow(cold / hot, share);
      if (!propose()) continue;
      const double next = cost_of(next_ends_);
      if (next > cost && random_.uniform() >= std::exp((cost - next) / heat)) continue;
      cost = next;
      accept();
      if (latest(ends_) < best_end) {
        best_end = latest(ends_);
        best = now_;
      }
    }
    return best;
  }

 private:
  Minute end(const std::vector<std::size_t>& sequence, std::size_t printer) const {
    return end_of(timelines_[printer], items_, sequence);
  }
  static Minute latest(const std::vector<Minute>& ends) {
    return *std::max_element(ends.begin(), ends.end());
  }
  /// The latest end rules; the mean of the ends leads the way where the latest
  /// stays.
  static double cost_of(const std::vector<Minute>& ends) {
    double sum = 0, most = 0;
    for (const Minute e : ends) {
      sum += static_cast<double>(e);
      most = std::max(most, static_cast<double>(e));
    }
    return most + 2 * sum / static_cast<double>(ends.size());
  }

  bool trials_first(const std::vector<std::size_t>& sequence) const {
    return std::is_partitioned(sequence.begin(), sequence.end(),
                               [&](std::size_t item) { return items_[item].is_trial; });
  }

  /// Moves one item elsewhere, or swaps two; the two lists it touches go to a_,
  /// b_.
  bool propose() {
    p_ = random_.below(now_.size());
    q_ = random_.below(now_.size());
    if (now_[p_].empty()) return false;
    const std::size_t i = random_.below(now_[p_].size());
    a_ = now_[p_];
    if (random_.below(2) == 0 && !now_[q_].empty()) {
      const std::size_t k = random_.below(now_[q_].size());
      if (p_ == q_) {
        std::swap(a_[i], a_[k]);
      } else {
        b_ = now_[q_];
        std::swap(a_[i], b_[k]);
      }
    } else {
      const std::size_t item = a_[i];
      a_.erase(a_.begin() + static_cast<std::ptrdiff_t>(i));
      if (p_ != q_) b_ = now_[q_];
      std::vector<std::size_t>& to = p_ == q_ ? a_ : b_;
      to.insert(to.begin() + static_cast<std::ptrdiff_t>(random_.below(to.size() + 1)), item);
    }
    if (!trials_first(a_) || (p_ != q_ && !trials_first(b_))) return false;
    next_ends_ = ends_;
    next_ends_[p_] = end(a_, p_);
    if (p_ != q_ && next_ends_[p_] < kNever) next_ends_[q_] = end(b_, q_);
    return next_ends_[p_] < kNever && next_ends_[q_] < kNever;
  }
  void accept() {
    std::swap(now_[p_], a_);
    if (p_ != q_) std::swap(now_[q_], b_);
    std::swap(ends_, next_ends_);
  }

  std::span<const Item> items_;
  std::span<const Timeline> timelines_;
  Minute bound_min_;
  const CalendarOptions& options_;
  Random random_;
  Sequences now_;
  std::vector<Minute> ends_, next_ends_;
  std::size_t p_ = 0, q_ = 0;
  std::vector<std::size_t> a_, b_;
};

}  // namespace

Sequences list_schedule(std::span<const Item> items, std::span<const Timeline> timelines) {
  std::vector<std::size_t> order(items.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    if (items[a].is_trial != items[b].is_trial) return items[a].is_trial;
    return item_min(items[a], timelines) > item_min(items[b], timelines);
  });
  Sequences sequences(timelines.size());
  std::vector<PrinterState> states;
  for (const Timeline& timeline : timelines) states.push_back(timeline.begin());
  for (const std::size_t item : order) {
    std::size_t best = 0;
    Minute best_end = kNever;
    for (std::size_t i = 0; i < timelines.size(); ++i) {
      PrinterState state = states[i];
      if (timelines[i].append(state, items[item]) && state.free_min < best_end) {
        best = i;
        best_end = state.free_min;
      }
    }
    timelines[best].append(states[best], items[item]);
    sequences[best].push_back(item);
  }
  return sequences;
}

Sequences search_locally(std::span<const Item> items, std::span<const Timeline> timelines,
                         Minute bound_min, std::span<const Sequences> begin,
                         const CalendarOptions& options, const Run& run) {
  Sequences start = list_schedule(items, timelines);
  const auto consider = [&](const Sequences& plan) {
    if (latest_end(plan, items, timelines) < latest_end(start, items, timelines)) start = plan;
  };
  if (const auto filled = HourFiller(items, timelines).run()) consider(*filled);
  for (const Sequences& plan : begin) consider(plan);
  return Annealer(items, timelines, bound_min, options).run(std::move(start), run);
}

}  // namespace seamwright::days_detail
