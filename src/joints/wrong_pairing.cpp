#include "seamwright/joints/wrong_pairing.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <vector>

#include "joints/flat_motion.h"

namespace seamwright {
namespace {

using joints::Motion;

/// A motion that fits to e is within 3.8 e of one that lays its farthest pair on its holes: each
/// end is e off at most, so the middle by e, and the turn by 2 e over the length.
constexpr double kFromAligned = 3.8;

/// Lets the worst error sink by small turns about the rods' middle and shifts.
double refined(std::span<const FlatKey> rods, std::span<const FlatKey> holes, Motion motion,
               double error_mm, double extra_mm) {
  constexpr double kFinest_mm = 0.02;
  Vec2 middle;
  double reach = 1;
  for (const FlatKey& rod : rods) middle = middle + rod.at / static_cast<double>(rods.size());
  for (const FlatKey& rod : rods) reach = std::max(reach, norm(rod.at - middle));
  for (double step = error_mm / 2; step > kFinest_mm;) {
    bool is_better = false;
    for (int k = 0; k < 10; ++k) {
      const double turn = k == 8 ? step / reach : k == 9 ? -step / reach : 0;
      const double angle = k * std::numbers::pi / 4, length = k < 8 ? step : 0;
      const Motion moved =
          motion.turned(middle, turn, Vec2{std::cos(angle), std::sin(angle)} * length);
      const double error = joints::worst_error(rods, holes, moved, extra_mm, error_mm);
      if (error >= error_mm) continue;
      error_mm = error;
      motion = moved;
      is_better = true;
    }
    if (!is_better) step /= 2;
  }
  return error_mm;
}

double one_way(std::span<const FlatKey> rods, std::span<const FlatKey> holes, double extra_mm,
               double far_mm) {
  double least = far_mm;
  if (rods.size() > holes.size()) return least;  // two rods can't share a hole
  for (std::size_t i = 0; i < rods.size(); ++i) {
    for (std::size_t j = i + 1; j < rods.size(); ++j) {
      const double length = norm(rods[j].at - rods[i].at);
      for (std::size_t a = 0; a < holes.size(); ++a) {
        for (std::size_t b = 0; b < holes.size(); ++b) {
          if (a == b || std::abs(norm(holes[b].at - holes[a].at) - length) > 2 * least) continue;
          const Motion motion = joints::laying(rods[i].at, rods[j].at, holes[a].at, holes[b].at);
          const double error =
              joints::worst_error(rods, holes, motion, extra_mm, kFromAligned * least);
          if (error < kFromAligned * least)
            least = std::min(least, refined(rods, holes, motion, error, extra_mm));
        }
      }
    }
  }
  return least;
}

}  // namespace

double wrong_pairing_misfit_mm(std::span<const FlatKey> keys, std::span<const FlatKey> others,
                               double hole_extra_mm, double far_mm) {
  if (keys.size() < 2 || others.size() < 2) return far_mm;
  std::vector<FlatKey> mirrored(others.begin(), others.end());
  for (FlatKey& key : mirrored) key.at.y = -key.at.y;
  double least = far_mm;
  for (const std::span<const FlatKey> other : {others, std::span<const FlatKey>(mirrored)}) {
    least = one_way(keys, other, hole_extra_mm, least);
    least = one_way(other, keys, hole_extra_mm, least);
  }
  return least;
}

}  // namespace seamwright
