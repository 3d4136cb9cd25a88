#pragma once

#include <array>
#include <string_view>
#include <utility>

namespace seamwright {

/// The bed's shape: the room's width and depth, or the largest circle in them.
enum class Bed { rectangle, round };

constexpr std::array<std::pair<std::string_view, Bed>, 2> names(Bed) {
  return {{{"rectangle", Bed::rectangle}, {"round", Bed::round}}};
}

/// How a machine slows down for corners.
enum class CornerRule { jerk, deviation };

constexpr std::array<std::pair<std::string_view, CornerRule>, 2> names(CornerRule) {
  return {{{"jerk", CornerRule::jerk}, {"deviation", CornerRule::deviation}}};
}

/// Two ways to drive a machine whose figures are not known: see with_motion.
enum class Motion { slow, fast };

constexpr std::array<std::pair<std::string_view, Motion>, 2> names(Motion) {
  return {{{"slow", Motion::slow}, {"fast", Motion::fast}}};
}

}  // namespace seamwright
