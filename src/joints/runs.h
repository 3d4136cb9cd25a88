#pragma once

#include <algorithm>
#include <span>

namespace seamwright::joints {

/// Gives `take` each longest run of two and more items that are good, one after the other; whether
/// an item is good is asked when the walk comes to it, after what came before was taken.
template <class Item, class IsGood, class Take>
void for_each_run(std::span<const Item> items, const IsGood& is_good, const Take& take) {
  for (std::size_t i = 0; i < items.size();) {
    std::size_t end = i;
    while (end < items.size() && is_good(items[end])) ++end;
    if (end > i + 1) take(items.subspan(i, end - i));
    i = std::max(end, i + 1);
  }
}

}  // namespace seamwright::joints
