#pragma once

#include <atomic>
#include <functional>
#include <string_view>

namespace seamwright {

/// How urgently the caller wants a running stage to end.
enum class Cancel : int {
  none = 0,
  finish = 1,  ///< stop improving, return the best complete answer so far
  stop = 2     ///< give up at once: return Error{"cancelled"}
};

/// What a stage needs from its caller besides its input: threads, a way to be stopped, a listener.
/// Copied freely; the pointed-to flag must outlive the stage. The result of a stage never depends
/// on `thread_count`.
struct Run {
  int thread_count = 0;                         ///< 0: all cores
  const std::atomic<Cancel>* cancel = nullptr;  ///< null: never cancelled
  std::function<void(double share_ratio)> progress =
      {};  ///< called with 0…1, any thread, monotone not promised

  Cancel cancelled() const {
    return cancel != nullptr ? cancel->load(std::memory_order_relaxed) : Cancel::none;
  }
  bool should_stop() const { return cancelled() == Cancel::stop; }
  bool should_finish() const { return cancelled() != Cancel::none; }
  void report(double share_ratio) const {
    if (progress) progress(share_ratio);
  }
};

}  // namespace seamwright
