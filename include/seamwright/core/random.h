#pragma once

#include <cstdint>
#include <random>

#include "seamwright/core/vec.h"

namespace seamwright {

/// A seeded source of random numbers whose sequence is the same on every machine and library: the
/// engine is the standard's mt19937_64, the distributions are our own (the standard leaves theirs
/// to the library).
class Random {
 public:
  /// Streams of one seed are independent: give each parallel task its own `stream`.
  explicit Random(std::uint64_t seed, std::uint64_t stream = 0)
      : engine_(mix(seed + 0x9e3779b97f4a7c15ULL * (stream + 1))) {}

  /// Uniform in [0, 1) with 53 bits.
  double uniform() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; }
  double uniform(double low, double high) { return low + (high - low) * uniform(); }
  /// Uniform in [0, n); n > 0.
  std::uint64_t below(std::uint64_t n) { return engine_() % n; }
  /// Standard normal (Box and Muller).
  double normal() {
    const double radius = std::sqrt(-2 * std::log(1 - uniform()));
    return radius * std::cos(2 * std::numbers::pi * uniform());
  }
  /// Uniform on the unit sphere.
  Vec3 direction() {
    const double z = uniform(-1, 1), phi = uniform(0, 2 * std::numbers::pi);
    const double r = std::sqrt(std::max(0.0, 1 - z * z));
    return {r * std::cos(phi), r * std::sin(phi), z};
  }

 private:
  static std::uint64_t mix(std::uint64_t z) {  // splitmix64's finaliser
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
  }
  std::mt19937_64 engine_;
};

}  // namespace seamwright
