#pragma once

#include <optional>
#include <span>
#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright {

/// Time over a straight line that starts and ends at the given speeds, never exceeds `cruise` and
/// changes speed at no more than `acceleration`. Requires: acceleration and cruise above 0; entry
/// and exit at most cruise. Where the line is too short to get from entry to exit, the time is that
/// of a constant mean speed (the planner below never asks for it). Source: kinematics.
double trapezoid_s(double length_mm, double entry_mm_per_s, double cruise_mm_per_s,
                   double exit_mm_per_s, double acceleration_mm_per_s2);

/// The greatest speed through a corner between two unit directions at which no axis changes its
/// speed by more than `jerk_mm_per_s` at once (the classic corner rule of small machines). Infinite
/// when straight on.
double corner_speed_by_jerk(Vec2 in, Vec2 out, double jerk_mm_per_s);

/// The same by junction deviation: v² = a δ s/(1 − s), s = sin(θ/2), θ the inner angle (180°:
/// straight on, infinite). Source: S. Jeon, 2011 (seen in part).
double corner_speed_by_deviation(Angle inner, double acceleration_mm_per_s2, double deviation_mm);

struct MotionLimits {
  double acceleration_mm_per_s2 = 500;
  double corner_jerk_mm_per_s = 8;
  std::optional<double>
      junction_deviation_mm;  ///< rules the corners instead of the jerk when given
};

/// The greatest speed through a corner by the limits' own rule. Under junction deviation a line
/// begins and ends at rest, under the jerk at that speed.
double corner_speed(Vec2 in, Vec2 out, const MotionLimits& limits);
double end_speed(const MotionLimits& limits);

/// How one path is driven: not above `cruise`, from `entry` and to `exit`.
struct PathSpeeds {
  double cruise_mm_per_s = 50, entry_mm_per_s = 0, exit_mm_per_s = 0;
};

/// Plans speeds along polylines by look-ahead over the whole path and gives the time. Keep one per
/// thread: it keeps its scratch space.
class PathTimer {
 public:
  explicit PathTimer(const MotionLimits& limits) : limits_(limits) {}
  /// For the paths from now on.
  void set_acceleration(double mm_per_s2) { limits_.acceleration_mm_per_s2 = mm_per_s2; }
  /// The time along `points`, back to the first one when `is_loop`. Entry and exit speeds above
  /// cruise count as cruise. O(points).
  double path_s(std::span<const Vec2> points, bool is_loop, const PathSpeeds& speeds);

 private:
  void measure(std::span<const Vec2> points, bool is_loop);
  void plan(const PathSpeeds& speeds);
  MotionLimits limits_;
  std::vector<Vec2> directions_;
  std::vector<double> lengths_mm_, speeds_mm_per_s_;
};

}  // namespace seamwright
