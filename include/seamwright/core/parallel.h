#pragma once

#include <tbb/blocked_range.h>
#include <tbb/parallel_for.h>
#include <tbb/parallel_sort.h>
#include <tbb/task_arena.h>

#include <algorithm>
#include <cstddef>
#include <thread>
#include <vector>

#include "seamwright/core/run.h"

namespace seamwright {

/// The only door to TBB. Every verb gives the same bits on any thread count: blocks depend on the
/// item count only, partial results join left to right, each index writes its own slot.

namespace parallel_detail {
inline int thread_count(const Run& run) {
  if (run.thread_count > 0) return run.thread_count;
  return std::max(1, static_cast<int>(std::thread::hardware_concurrency()));
}
}  // namespace parallel_detail

/// Calls body(i) for each i in [0, n), in any order; `grain` indices at least go to one thread.
template <class Body>
void for_each_index(std::size_t n, const Run& run, const Body& body, std::size_t grain = 1) {
  const int threads = parallel_detail::thread_count(run);
  if (threads == 1 || n <= grain) {
    for (std::size_t i = 0; i < n; ++i) body(i);
    return;
  }
  tbb::task_arena arena(threads);
  arena.execute([&] {
    tbb::parallel_for(tbb::blocked_range<std::size_t>(0, n, grain), [&](const auto& range) {
      for (std::size_t i = range.begin(); i != range.end(); ++i) body(i);
    });
  });
}

/// The vector of make(i) for each i in [0, n). The value type must be default-constructible.
template <class Make>
auto map_index(std::size_t n, const Run& run, const Make& make, std::size_t grain = 1) {
  std::vector<decltype(make(std::size_t{}))> out(n);
  for_each_index(
      n, run, [&](std::size_t i) { out[i] = make(i); }, grain);
  return out;
}

/// Folds blocks of `block` indices: fold(begin, end) -> T for each block, then join(left, right)
/// from left to right. The same bits for every thread count.
template <class T, class Fold, class Join>
T reduce_blocks(std::size_t n, const Run& run, T start, const Fold& fold, const Join& join,
                std::size_t block = 4096) {
  const std::size_t blocks = (n + block - 1) / block;
  std::vector<T> parts = map_index(
      blocks, run, [&](std::size_t b) { return fold(b * block, std::min(n, (b + 1) * block)); });
  T total = std::move(start);
  for (T& part : parts) total = join(std::move(total), std::move(part));
  return total;
}

/// Sorts by `less`, equal elements in their old order (std::stable_sort below 50 k elements; above,
/// a parallel sort of indices with ties broken by index).
template <class T, class Less>
void sort_stable(std::vector<T>& items, const Run& run, const Less& less) {
  if (items.size() < 50'000 || parallel_detail::thread_count(run) == 1) {
    std::stable_sort(items.begin(), items.end(), less);
    return;
  }
  std::vector<std::size_t> order(items.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  tbb::task_arena arena(parallel_detail::thread_count(run));
  arena.execute([&] {
    tbb::parallel_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
      if (less(items[a], items[b])) return true;
      if (less(items[b], items[a])) return false;
      return a < b;
    });
  });
  std::vector<T> sorted;
  sorted.reserve(items.size());
  for (std::size_t i : order) sorted.push_back(std::move(items[i]));
  items = std::move(sorted);
}

}  // namespace seamwright
