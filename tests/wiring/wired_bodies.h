#pragma once

#include <algorithm>
#include <span>
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

/// A reference part, or a mesh of libcgal-demo scaled to 400 mm.
inline Solid body_of_400_mm(const std::string& name) {
  for (const char* part : {"shell", "panel", "elephant", "armadillo"}) {
    if (name == part) return reference_part(name);
  }
  TriangleSoup soup = cgal_demo_mesh(name);
  Box3 box;
  for (const Vec3& p : soup.points) box.extend(p);
  const double scale = 400 / std::max({box.size().x, box.size().y, box.size().z});
  for (Vec3& p : soup.points) p = (p - box.low) * scale;
  return make_solid(std::move(soup)).value();
}

/// A body with the sight that lets ridges stand on it: a shell's inside, away from its rim at
/// z = 0; the back of a panel; a full body's whole skin.
struct WiredBody {
  Solid solid;
  bool is_thin = false;
  std::vector<double> sight;
  std::vector<std::size_t> mouths;  ///< faces in whose middles a ridge may begin

  explicit WiredBody(const std::string& name)
      : solid(body_of_400_mm(name)),
        is_thin(name == "shell" || name == "panel"),
        sight(solid.face_count(), 0.0) {
    if (is_thin) {
      const SightMode mode = name == "shell" ? SightMode::worn : SightMode::wall;
      sight = *face_sight(solid, {.mode = mode, .rays_per_face = 16, .is_smoothed = true});
    }
    for (std::size_t f = 0; f < solid.face_count(); ++f) {
      const bool is_off_rim = name != "shell" || middle_of_face(solid, f).z > 30;
      if (sight[f] < 0.3 && is_off_rim) mouths.push_back(f);
    }
  }

  /// Ridges are for thin walls: a full body's ways are bores.
  std::span<const double> ridge_sight() const {
    return is_thin ? std::span<const double>(sight) : std::span<const double>();
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
