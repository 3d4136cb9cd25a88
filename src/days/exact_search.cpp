#include <algorithm>
#include <map>

#include "days/timeline.h"

namespace seamwright::days_detail {
namespace {

using ItemSet = std::uint32_t;

/// How far a plan for some set of items has come on every printer, and how it came there.
struct Node {
  std::vector<PrinterState> printers;
  std::size_t parent = 0;
  std::size_t item = 0, printer = 0;
};

/// Whether from `a` everything can be done that can be done from `b`, no later.
bool dominates(const Node& a, const Node& b) {
  for (std::size_t i = 0; i < a.printers.size(); ++i) {
    const PrinterState &x = a.printers[i], &y = b.printers[i];
    if (x.free_min > y.free_min) return false;
    if (x.material != y.material || x.spool_left_g < y.spool_left_g) return false;
  }
  return true;
}

bool are_alike(const Timeline& a, const Timeline& b, std::span<const Item> items) {
  const CalendarPrinter &x = a.printer(), &y = b.printer();
  if (x.awake != y.awake || x.home != y.home || x.swap_min != y.swap_min ||
      x.spool_change_min != y.spool_change_min || x.spool_g != y.spool_g)
    return false;
  return std::all_of(items.begin(), items.end(), [&](const Item& item) {
    return std::all_of(item.loads.begin(), item.loads.end(),
                       [&](std::size_t load) { return a.print_min(load) == b.print_min(load); });
  });
}

class ExactSearch {
 public:
  ExactSearch(std::span<const Item> items, std::span<const Timeline> timelines, Minute upper_min,
              Minute bound_min)
      : items_(items), timelines_(timelines), upper_min_(upper_min), bound_min_(bound_min) {
    for (const Timeline& a : timelines) {
      alike_.emplace_back();
      for (const Timeline& b : timelines) alike_.back().push_back(are_alike(a, b, items));
    }
  }

  /// Sets of items in rising number: every subset comes before its supersets.
  ExactAnswer run() {
    const ItemSet full = (ItemSet{1} << items_.size()) - 1;
    Node root;
    for (const Timeline& timeline : timelines_) root.printers.push_back(timeline.begin());
    nodes_.push_back(std::move(root));
    fronts_.assign(std::size_t{full} + 1, {});
    fronts_[0] = {0};
    for (ItemSet set = 0; set < full; ++set) {
      for (std::size_t at = 0; at < fronts_[set].size(); ++at) {
        grow(set, fronts_[set][at]);
        if (nodes_.size() > kMostNodes) return {best_sequences(full), false};
        if (best_end_ <= bound_min_) return {best_sequences(full), true};
      }
    }
    return {best_sequences(full), true};
  }

 private:
  static constexpr std::size_t kMostNodes = 150'000;

  void grow(ItemSet set, std::size_t node) {
    for (std::size_t printer = 0; printer < timelines_.size(); ++printer) {
      if (has_twin_before(node, printer)) continue;
      for (std::size_t item = 0; item < items_.size(); ++item) {
        if ((set >> item & 1) == 0) add(set, node, item, printer);
      }
    }
  }

  /// Two printers alike in every way, and in the same state: the first stands for both.
  bool has_twin_before(std::size_t node, std::size_t printer) const {
    for (std::size_t k = 0; k < printer; ++k) {
      if (alike_[printer][k] && nodes_[node].printers[k] == nodes_[node].printers[printer])
        return true;
    }
    return false;
  }

  void add(ItemSet set, std::size_t from, std::size_t item, std::size_t printer) {
    // Trials come first on their printer.
    if (items_[item].is_trial && has_plain(from, printer)) return;
    Node next = nodes_[from];
    next.parent = from;
    next.item = item;
    next.printer = printer;
    if (!timelines_[printer].append(next.printers[printer], items_[item])) return;
    if (next.printers[printer].free_min >= std::min(upper_min_, best_end_)) return;
    const ItemSet grown = set | ItemSet{1} << item;
    if (!can_still_win(grown, next)) return;
    std::vector<std::size_t>& front = fronts_[grown];
    for (const std::size_t known : front) {
      if (dominates(nodes_[known], next)) return;
    }
    std::erase_if(front, [&](std::size_t known) { return dominates(next, nodes_[known]); });
    front.push_back(nodes_.size());
    nodes_.push_back(std::move(next));
    if (grown + 1 == fronts_.size()) best_end_ = std::min(best_end_, end_of_node(nodes_.back()));
  }

  bool has_plain(std::size_t node, std::size_t printer) const {
    for (; node != 0; node = nodes_[node].parent) {
      if (nodes_[node].printer == printer && !items_[nodes_[node].item].is_trial) return true;
    }
    return false;
  }

  /// Whether what is left to print goes into the time that is left before the best so far.
  bool can_still_win(ItemSet set, const Node& node) const {
    const Minute goal = std::min(upper_min_, best_end_) - 1;
    Minute room = 0, needed = 0;
    for (std::size_t i = 0; i < timelines_.size(); ++i)
      room += timelines_[i].home_between(node.printers[i].free_min, goal);
    for (std::size_t item = 0; item < items_.size(); ++item) {
      if ((set >> item & 1) != 0) continue;
      for (const std::size_t load : items_[item].loads) {
        Minute least = kNever;
        for (const Timeline& timeline : timelines_) {
          if (const auto print = timeline.print_min(load))
            least = std::min(least, *print + timeline.printer().swap_min);
        }
        needed += least;
      }
    }
    return needed <= room;
  }

  Minute end_of_node(const Node& node) const {
    Minute end = 0;
    for (const PrinterState& state : node.printers) end = std::max(end, state.free_min);
    return end;
  }

  std::optional<Sequences> best_sequences(ItemSet full) const {
    std::optional<std::size_t> best;
    for (const std::size_t node : fronts_[full]) {
      if (!best || end_of_node(nodes_[node]) < end_of_node(nodes_[*best])) best = node;
    }
    if (!best) return std::nullopt;
    Sequences sequences(timelines_.size());
    for (std::size_t node = *best; node != 0; node = nodes_[node].parent)
      sequences[nodes_[node].printer].push_back(nodes_[node].item);
    for (auto& sequence : sequences) std::reverse(sequence.begin(), sequence.end());
    return sequences;
  }

  std::span<const Item> items_;
  std::span<const Timeline> timelines_;
  Minute upper_min_, bound_min_, best_end_ = kNever;
  std::vector<std::vector<char>> alike_;  ///< by printer and printer
  std::vector<Node> nodes_;
  std::vector<std::vector<std::size_t>> fronts_;  ///< by set of items
};

}  // namespace

ExactAnswer search_exactly(std::span<const Item> items, std::span<const Timeline> timelines,
                           Minute upper_min, Minute bound_min) {
  return ExactSearch(items, timelines, upper_min, bound_min).run();
}

}  // namespace seamwright::days_detail
