#include "wiring/packing.h"

#include <algorithm>
#include <limits>

#include "seamwright/core/random.h"
#include "seamwright/core/vec.h"

namespace seamwright::wiring_detail {
namespace {

constexpr int kStarts = 16, kShrinks = 60, kRelaxes = 40;
constexpr double kShrinkRatio = 0.99;

using Places = std::vector<Vec2>;

/// The radius these places really need: spread until no two circles overlap, then enclosed.
double needed_radius(const Places& places, const std::vector<double>& radii) {
  double spread = 1;
  for (std::size_t i = 0; i < places.size(); ++i) {
    for (std::size_t k = i + 1; k < places.size(); ++k) {
      const double apart = norm(places[i] - places[k]);
      if (apart < 1e-9) return std::numeric_limits<double>::infinity();
      spread = std::max(spread, (radii[i] + radii[k]) / apart);
    }
  }
  double radius = 0;
  for (std::size_t i = 0; i < places.size(); ++i)
    radius = std::max(radius, norm(places[i]) * spread + radii[i]);
  return radius;
}

/// Pushes overlapping circles apart by half their overlap each, and all into the container.
void relax(Places& places, const std::vector<double>& radii, double container) {
  for (int round = 0; round < kRelaxes; ++round) {
    for (std::size_t i = 0; i < places.size(); ++i) {
      for (std::size_t k = i + 1; k < places.size(); ++k) {
        const Vec2 between = places[k] - places[i];
        const double apart = norm(between), overlap = radii[i] + radii[k] - apart;
        if (overlap <= 0) continue;
        const Vec2 push = (apart > 1e-12 ? between / apart : Vec2{1, 0}) * (overlap / 2);
        places[i] = places[i] - push;
        places[k] = places[k] + push;
      }
    }
    for (std::size_t i = 0; i < places.size(); ++i) {
      const double out = norm(places[i]) + radii[i] - container;
      if (out > 0) places[i] = places[i] - normalized(places[i]) * out;
    }
  }
}

}  // namespace

double pressed_diameter_mm(const std::vector<double>& diameters_mm) {
  std::vector<double> radii;
  double sum = 0;
  for (const double d : diameters_mm) radii.push_back(d / 2), sum += d / 2;
  double best = sum;  // side by side in a row
  for (int start = 0; start < kStarts; ++start) {
    Random random(7, static_cast<std::uint64_t>(start));
    double container = best;
    Places places;
    for (std::size_t i = 0; i < radii.size(); ++i)
      places.push_back(
          {random.uniform(-container, container), random.uniform(-container, container)});
    for (int shrink = 0; shrink < kShrinks; ++shrink) {
      relax(places, radii, container);
      best = std::min(best, needed_radius(places, radii));
      container *= kShrinkRatio;
    }
  }
  return 2 * best;
}

}  // namespace seamwright::wiring_detail
