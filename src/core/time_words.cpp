#include "seamwright/core/time_words.h"

#include <fmt/format.h>

#include <cmath>

namespace seamwright {

std::string clock_hours(double seconds) {
  const long minutes = std::lround(seconds / 60);
  return fmt::format("{}:{:02} h", minutes / 60, minutes % 60);
}

std::string rough_duration(double seconds) {
  const long minutes = std::lround(seconds / 60);
  if (minutes < 60) return fmt::format("{} min", minutes);
  const long rounded = (minutes + 2) / 5 * 5;
  if (minutes >= 20 * 60) return fmt::format("{} h", std::lround(seconds / 3600));
  if (rounded % 60 == 0) return fmt::format("{} h", rounded / 60);
  return fmt::format("{} h {} min", rounded / 60, rounded % 60);
}

}  // namespace seamwright
