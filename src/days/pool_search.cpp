#include <cmath>

#include "days/timeline.h"
#include "seamwright/core/random.h"

namespace seamwright::days_detail {
namespace {

/// Annealing with the end held fast: what does not end in time waits in a pool,
/// and the pool's price falls. (With the latest end as the cost nearly every
/// move is level: a printer that is done by seven in the morning can't begin
/// anew before it is touched again.)
class PoolSearch {
 public:
  PoolSearch(std::span<const Item> items, std::span<const Timeline> timelines,
             std::span<const double> price_of_load, Minute target_min, std::uint64_t seed)
      : items_(items), timelines_(timelines), target_min_(target_min), random_(seed) {
    for (const Item& item : items) {
      double price = 0;
      for (const std::size_t load : item.loads) price += price_of_load[load];
      prices_.push_back(price);
      mean_price_ += price / static_cast<double>(items.size());
    }
  }

  /// Takes from each printer what ends late. Nothing when not all finds its
  /// place in `move_count`.
  std::optional<Sequences> run(Sequences begin, std::size_t move_count, const Run& run) {
    now_ = std::move(begin);
    for (std::size_t p = 0; p < now_.size(); ++p) {
      while (!now_[p].empty() && end(p, now_[p]) > target_min_) {
        pool_.push_back(now_[p].back());
        now_[p].pop_back();
      }
    }
    const double hot = 0.1 * mean_price_, cold = 0.002 * mean_price_;
    for (std::size_t move = 0; move < move_count && !pool_.empty(); ++move) {
      if (move % 4096 == 0 && run.should_finish()) break;
      const double share = static_cast<double>(move) / static_cast<double>(move_count);
      heat_ = hot * std::pow(cold / hot, share);
      switch (random_.below(4)) {
        case 0:
          insert();
          break;
        case 1:
          exchange();
          break;
        default:
          swap_places();
      }
    }
    if (!pool_.empty()) return std::nullopt;
    return std::move(now_);
  }

 private:
  Minute end(std::size_t printer, const std::vector<std::size_t>& sequence) const {
    return end_of(timelines_[printer], items_, sequence);
  }
  bool fits(std::size_t printer, const std::vector<std::size_t>& sequence) const {
    return std::is_partitioned(sequence.begin(), sequence.end(),
                               [&](std::size_t item) { return items_[item].is_trial; }) &&
           end(printer, sequence) <= target_min_;
  }
  void insert() {
    const std::size_t p = random_.below(now_.size()), k = random_.below(pool_.size());
    a_ = now_[p];
    a_.insert(a_.begin() + static_cast<std::ptrdiff_t>(random_.below(a_.size() + 1)), pool_[k]);
    if (!fits(p, a_)) return;
    std::swap(now_[p], a_);
    pool_.erase(pool_.begin() + static_cast<std::ptrdiff_t>(k));
  }
  /// One from the pool for one that lies somewhere.
  void exchange() {
    const std::size_t p = random_.below(now_.size()), k = random_.below(pool_.size());
    if (now_[p].empty()) return;
    const std::size_t i = random_.below(now_[p].size());
    const double dearer = prices_[now_[p][i]] - prices_[pool_[k]];
    if (dearer > 0 && random_.uniform() >= std::exp(-dearer / heat_)) return;
    a_ = now_[p];
    a_[i] = pool_[k];
    if (!fits(p, a_)) return;
    pool_[k] = now_[p][i];
    std::swap(now_[p], a_);
  }
  void swap_places() {
    const std::size_t p = random_.below(now_.size()), q = random_.below(now_.size());
    if (now_[p].empty() || now_[q].empty()) return;
    const std::size_t i = random_.below(now_[p].size()), k = random_.below(now_[q].size());
    a_ = now_[p];
    if (p == q) {
      std::swap(a_[i], a_[k]);
      if (fits(p, a_)) std::swap(now_[p], a_);
      return;
    }
    b_ = now_[q];
    std::swap(a_[i], b_[k]);
    if (!fits(p, a_) || !fits(q, b_)) return;
    std::swap(now_[p], a_);
    std::swap(now_[q], b_);
  }

  std::span<const Item> items_;
  std::span<const Timeline> timelines_;
  Minute target_min_;
  Random random_;
  std::vector<double> prices_;
  double mean_price_ = 0, heat_ = 0;
  Sequences now_;
  std::vector<std::size_t> pool_, a_, b_;
};

}  // namespace

std::optional<Sequences> empty_pool(const Sequences& begin, std::span<const Item> items,
                                    std::span<const Timeline> timelines,
                                    std::span<const double> prices, Minute target_min,
                                    const CalendarOptions& options, const Run& run) {
  return PoolSearch(items, timelines, prices, target_min, options.seed)
      .run(begin, options.move_count, run);
}

}  // namespace seamwright::days_detail
