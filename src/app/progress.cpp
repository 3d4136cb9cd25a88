#include "app/progress.h"

#include <fmt/format.h>

#include <algorithm>

namespace seamwright::app {

void ProgressLine::begin_stage(std::string_view stage, double share_ratio) {
  const std::lock_guard lock(mutex_);
  stage_ = stage;
  share_ratio_ = std::max(share_ratio_, share_ratio);
  drawn_ = {};
  draw();
}

void ProgressLine::advance(double share_ratio) {
  const std::lock_guard lock(mutex_);
  share_ratio_ = std::max(share_ratio_, std::min(share_ratio, 1.0));
  draw();
}

void ProgressLine::draw() {
  const Clock::time_point now = Clock::now();
  if (!is_shown_ || now - drawn_ < std::chrono::milliseconds(100)) return;
  drawn_ = now;
  const double elapsed_s = std::chrono::duration<double>(now - start_).count();
  std::string line = fmt::format("{:3.0f} %  {}", 100 * share_ratio_, stage_);
  // Below a twentieth the first guess is off by more than it helps.
  if (share_ratio_ > 0.05)
    line += fmt::format(", about {:.0f} s left", elapsed_s * (1 - share_ratio_) / share_ratio_);
  const std::size_t width = line.size();
  if (width < width_) line.append(width_ - width, ' ');
  width_ = width;
  out_ << '\r' << line << std::flush;
}

void ProgressLine::clear() {
  const std::lock_guard lock(mutex_);
  if (width_ > 0) out_ << '\r' << std::string(width_, ' ') << '\r' << std::flush;
  width_ = 0;
}

}  // namespace seamwright::app
