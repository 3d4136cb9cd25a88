#include "seamwright/joints/wrong_pairing.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "joints/flat_motion.h"

namespace seamwright {
namespace {

using joints::Motion;

/// A motion that fits to e is within 3.8 e of one that lays its farthest pair on its holes: each
/// end is e off at most, so the middle by e, and the turn by 2 e over the length.
constexpr double kFromAligned = 3.8;

/// Lets the worst error sink by small turns about the rods' middle and shifts.
double refined(std::span<const FlatKey> rods, std::span<const FlatKey> holes, const Motion& motion,
               double error_mm, double extra_mm) {
  joints::Moved moved;
  for (const FlatKey& rod : rods)
    moved.middle = moved.middle + rod.at / static_cast<double>(rods.size());
  for (const FlatKey& rod : rods)
    moved.reach_mm = std::max(moved.reach_mm, norm(rod.at - moved.middle));
  return joints::sunk_error_mm(motion, error_mm, moved, [&](const Motion& next, double enough_mm) {
    return joints::worst_error(rods, holes, next, extra_mm, enough_mm);
  });
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
