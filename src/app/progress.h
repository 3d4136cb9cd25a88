#pragma once

#include <chrono>
#include <mutex>
#include <ostream>
#include <string>
#include <string_view>

namespace seamwright::app {

/// One line on a terminal that is overwritten: stage, share, time left. The only place with a
/// clock.
class ProgressLine {
 public:
  explicit ProgressLine(std::ostream& out, bool is_shown) : out_(out), is_shown_(is_shown) {}
  ~ProgressLine() { clear(); }

  void begin_stage(std::string_view stage, double share_ratio);
  void advance(double share_ratio);
  void clear();

 private:
  using Clock = std::chrono::steady_clock;
  void draw();

  std::ostream& out_;
  const bool is_shown_;
  std::mutex mutex_;
  std::string stage_;
  double share_ratio_ = 0;
  Clock::time_point start_ = Clock::now(), drawn_{};
  std::size_t width_ = 0;
};

}  // namespace seamwright::app
