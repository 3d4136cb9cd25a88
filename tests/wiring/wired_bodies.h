#pragma once

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "seamwright/core/random.h"
#include "seamwright/query/sight.h"
#include "support/stl.h"

namespace seamwright::testing {

inline Vec3 middle_of_face(const Solid& solid, std::size_t face) {
  const auto [a, b, c] = solid.corners(to_id<FaceId>(face));
  return (a + b + c) / 3;
}

/// A reference part with the sight that lets ridges stand on it: a shell's inside, away from its
/// rim at z = 0; a full body's whole skin.
struct WiredBody {
  Solid solid;
  std::vector<double> sight;
  std::vector<std::size_t> mouths;  ///< faces in whose middles a ridge may begin

  explicit WiredBody(const std::string& name)
      : solid(reference_part(name)), sight(solid.face_count(), 0.0) {
    const bool is_shell = name == "shell";
    if (is_shell) sight = *face_sight(solid, {.mode = SightMode::worn, .rays_per_face = 16});
    for (std::size_t f = 0; f < solid.face_count(); ++f) {
      if (sight[f] < 0.3 && (!is_shell || middle_of_face(solid, f).z > 30)) mouths.push_back(f);
    }
  }

  /// Two such middles, 80 mm or more apart.
  std::pair<Vec3, Vec3> random_pair(int number) const {
    Random random(5, static_cast<std::uint64_t>(number));
    while (true) {
      const Vec3 from = middle_of_face(solid, mouths[random.below(mouths.size())]);
      const Vec3 to = middle_of_face(solid, mouths[random.below(mouths.size())]);
      if (norm(to - from) >= 80) return {from, to};
    }
  }

  /// The eight corners farthest from each other, one after the other, the first farthest from the
  /// middle: tips of limbs, ears, tails.
  std::vector<Vec3> extremes() const {
    std::vector<Vec3> found;
    std::vector<double> away_mm;
    for (const Vec3& p : solid.points()) away_mm.push_back(norm(p - solid.box().center()));
    while (found.size() < 8) {
      const auto most = std::max_element(away_mm.begin(), away_mm.end()) - away_mm.begin();
      found.push_back(solid.points()[static_cast<std::size_t>(most)]);
      for (std::size_t i = 0; i < away_mm.size(); ++i) {
        const double to_new_mm = norm(solid.points()[i] - found.back());
        away_mm[i] = found.size() == 1 ? to_new_mm : std::min(away_mm[i], to_new_mm);
      }
    }
    return found;
  }
};

}  // namespace seamwright::testing
