#pragma once

#include <cstdint>
#include <vector>

#include "query/embree_scene.h"
#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// What a cell of the space around a part is. Only `open` cells can be part of a body that wears
/// it.
enum class Cell : std::uint8_t { outside_hull, skin, solid, open };

/// Cubic cells over a part's box, padded by four on all sides.
struct CellGrid {
  Vec3 low;
  double cell_mm = 1;
  std::array<std::size_t, 3> count{};
  std::vector<Cell> cells;

  std::size_t position(std::size_t i, std::size_t j, std::size_t k) const {
    return (k * count[1] + j) * count[0] + i;
  }
  std::array<std::size_t, 3> indices(std::size_t position) const {
    return {position % count[0], position / count[0] % count[1], position / count[0] / count[1]};
  }
  Vec3 corner(std::size_t i, std::size_t j, std::size_t k) const {
    return low +
           Vec3{static_cast<double>(i), static_cast<double>(j), static_cast<double>(k)} * cell_mm;
  }
  Vec3 center(std::size_t position) const {
    const auto [i, j, k] = indices(position);
    return corner(i, j, k) + Vec3{cell_mm, cell_mm, cell_mm} * 0.5;
  }
  /// The cell that holds `p`, or cells.size() when none does.
  std::size_t holding(Vec3 p) const;
};

/// Marks the cells inside the convex hull as open, but those that the surface touches as skin.
/// Cells inside the solid are not told apart yet: see is_inside_solid. `cell_count` cells span the
/// longest side.
CellGrid make_cell_grid(const Solid& solid, int cell_count);

/// What a bundle of rays from one point met.
struct RayTally {
  int rays = 0, hits = 0, from_behind = 0;
  double hit_ratio() const { return rays > 0 ? static_cast<double>(hits) / rays : 0; }
  /// Over 80 % of the rays hit, over 90 % of the hits the back of a face.
  bool is_inside_solid() const { return hits > 0.8 * rays && from_behind > 0.9 * hits; }
  void add(const RTCRayHit& met);
};

/// Rays from `from` spread evenly in the plane perpendicular to the unit vector `axis`;
/// `turn_ratio` in 0…1 turns the bundle by that share of one step.
RayTally tally_around(const EmbreeScene& scene, Vec3 from, Vec3 axis, int rays, double turn_ratio);

}  // namespace seamwright
