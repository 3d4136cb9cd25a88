#include "seamwright/printing/motion.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "seamwright/core/result.h"

namespace seamwright {

double trapezoid_s(double length_mm, double entry_mm_per_s, double cruise_mm_per_s,
                   double exit_mm_per_s, double acceleration_mm_per_s2) {
  const double v0 = entry_mm_per_s, v1 = exit_mm_per_s, a = acceleration_mm_per_s2;
  const double peak2 = (2 * a * length_mm + v0 * v0 + v1 * v1) / 2;
  if (peak2 >= cruise_mm_per_s * cruise_mm_per_s) {
    const double v = cruise_mm_per_s;
    return length_mm / v + ((v - v0) * (v - v0) + (v - v1) * (v - v1)) / (2 * a * v);
  }
  const double high = std::max(v0, v1);
  if (peak2 < high * high) return v0 + v1 > 0 ? 2 * length_mm / (v0 + v1) : 0;
  return (2 * std::sqrt(peak2) - v0 - v1) / a;
}

double corner_speed_by_jerk(Vec2 in, Vec2 out, double jerk_mm_per_s) {
  const double turn = std::max(std::abs(out.x - in.x), std::abs(out.y - in.y));
  return turn > 0 ? jerk_mm_per_s / turn : std::numeric_limits<double>::infinity();
}

double corner_speed_by_deviation(Angle inner, double acceleration_mm_per_s2, double deviation_mm) {
  const double s = std::sin(inner.radians() / 2);
  if (s >= 1) return std::numeric_limits<double>::infinity();
  return std::sqrt(acceleration_mm_per_s2 * deviation_mm * s / (1 - s));
}

double corner_speed(Vec2 in, Vec2 out, const MotionLimits& limits) {
  if (!limits.junction_deviation_mm)
    return corner_speed_by_jerk(in, out, limits.corner_jerk_mm_per_s);
  // sin(θ/2) of the inner angle θ, straight from the directions: cos θ is −in · out.
  const double half_sine = std::sqrt(std::clamp((1 + dot(in, out)) / 2, 0.0, 1.0));
  if (half_sine >= 1) return std::numeric_limits<double>::infinity();
  return std::sqrt(limits.acceleration_mm_per_s2 * *limits.junction_deviation_mm * half_sine /
                   (1 - half_sine));
}

double end_speed(const MotionLimits& limits) {
  return limits.junction_deviation_mm ? 0 : limits.corner_jerk_mm_per_s;
}

void PathTimer::measure(std::span<const Vec2> points, bool is_loop) {
  lengths_mm_.clear();
  directions_.clear();
  const std::size_t count = points.size() - (is_loop ? 0 : 1);
  for (std::size_t i = 0; i < count; ++i) {
    const Vec2 along = points[i + 1 < points.size() ? i + 1 : 0] - points[i];
    const double length_mm = norm(along);
    if (length_mm <= 0) continue;
    lengths_mm_.push_back(length_mm);
    directions_.push_back(along / length_mm);
  }
}

/// The greatest speeds at the path's vertices that every line can reach and leave.
void PathTimer::plan(const PathSpeeds& speeds) {
  const std::size_t n = lengths_mm_.size();
  std::vector<double>& v = speeds_mm_per_s_;
  v.assign(n + 1, speeds.cruise_mm_per_s);
  v[0] = std::min(speeds.entry_mm_per_s, speeds.cruise_mm_per_s);
  v[n] = std::min(speeds.exit_mm_per_s, speeds.cruise_mm_per_s);
  for (std::size_t i = 1; i < n; ++i) {
    v[i] = std::min(v[i], corner_speed(directions_[i - 1], directions_[i], limits_));
  }
  const double twice_a = 2 * limits_.acceleration_mm_per_s2;
  for (std::size_t i = n; i-- > 0;) {
    const double reach2 = v[i + 1] * v[i + 1] + twice_a * lengths_mm_[i];
    if (v[i] * v[i] > reach2) v[i] = std::sqrt(reach2);
  }
  for (std::size_t i = 0; i < n; ++i) {
    const double reach2 = v[i] * v[i] + twice_a * lengths_mm_[i];
    if (v[i + 1] * v[i + 1] > reach2) v[i + 1] = std::sqrt(reach2);
  }
}

double PathTimer::path_s(std::span<const Vec2> points, bool is_loop, const PathSpeeds& speeds) {
  require(speeds.cruise_mm_per_s > 0, "a path is driven at a speed");
  if (points.size() < 2) return 0;
  measure(points, is_loop);
  plan(speeds);
  double total_s = 0;
  for (std::size_t i = 0; i < lengths_mm_.size(); ++i) {
    total_s += trapezoid_s(lengths_mm_[i], speeds_mm_per_s_[i], speeds.cruise_mm_per_s,
                           speeds_mm_per_s_[i + 1], limits_.acceleration_mm_per_s2);
  }
  return total_s;
}

}  // namespace seamwright
