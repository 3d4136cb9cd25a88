#include "seamwright/core/parallel.h"

#include <gtest/gtest.h>

#include <cmath>

#include "seamwright/core/random.h"

namespace seamwright {
namespace {

Run with_threads(int count) {
  return Run{.thread_count = count};
}

TEST(Parallel, MapFillsEverySlotOnAnyThreadCount) {
  for (const int threads : {1, 2, 7}) {
    const auto squares =
        map_index(1000, with_threads(threads), [](std::size_t i) { return i * i; });
    for (std::size_t i = 0; i < squares.size(); ++i) ASSERT_EQ(squares[i], i * i);
  }
}

TEST(Parallel, ReduceGivesTheSameBitsOnAnyThreadCount) {
  const auto sum = [](int threads) {
    return reduce_blocks<double>(
        100'000, with_threads(threads), 0.0,
        [](std::size_t begin, std::size_t end) {
          double part = 0;
          for (std::size_t i = begin; i < end; ++i) part += std::sin(static_cast<double>(i)) * 1e10;
          return part;
        },
        [](double a, double b) { return a + b; });
  };
  EXPECT_EQ(sum(1), sum(2));
  EXPECT_EQ(sum(1), sum(7));
}

TEST(Parallel, SortKeepsTheOrderOfEqualElementsOnAnyThreadCount) {
  struct Item {
    int key;
    std::size_t position;
    bool operator==(const Item&) const = default;
  };
  Random random(3);
  std::vector<Item> items(120'000);
  for (std::size_t i = 0; i < items.size(); ++i)
    items[i] = {static_cast<int>(random.below(100)), i};
  auto expected = items;
  std::stable_sort(expected.begin(), expected.end(),
                   [](const Item& a, const Item& b) { return a.key < b.key; });
  for (const int threads : {1, 2, 7}) {
    auto sorted = items;
    sort_stable(sorted, with_threads(threads),
                [](const Item& a, const Item& b) { return a.key < b.key; });
    ASSERT_TRUE(sorted == expected);
  }
}

}  // namespace
}  // namespace seamwright
