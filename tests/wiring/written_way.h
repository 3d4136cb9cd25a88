#pragma once

#include <vector>

#include "seamwright/cut/plane_cut.h"
#include "seamwright/mesh/save.h"
#include "seamwright/query/ray_tree.h"
#include "seamwright/wiring/funnels.h"
#include "support/stl.h"

namespace seamwright::testing {

/// Pieces written as STL, read back and put together again, to move things along a way in them.
class WrittenPieces {
 public:
  explicit WrittenPieces(const std::vector<CutPiece>& pieces) {
    for (const CutPiece& piece : pieces)
      trees_.emplace_back(make_solid(read_binary_stl(stl_bytes(piece.solid))).value());
  }

  /// Room round the way at its narrowest; negative where it runs in plastic.
  double least_room_mm(const std::vector<Vec3>& path) const {
    double least_mm = 1e9;
    for (const Vec3& p : path) {
      for (const RayTree& tree : trees_)
        least_mm = std::min(least_mm, (tree.contains(p) ? -1 : 1) * tree.nearest(p)->distance_mm);
    }
    return least_mm;
  }

  /// Moves a box (width, height, length) along the way, its lower side in the bend; counts places
  /// where a corner or the middle of a long edge lies in plastic.
  int box_collisions(const std::vector<Vec3>& path, Vec3 box_mm) const {
    int hits = 0;
    const double half_mm = box_mm.z / 2;
    std::vector<double> arc_mm{0};
    for (std::size_t i = 1; i < path.size(); ++i)
      arc_mm.push_back(arc_mm.back() + norm(path[i] - path[i - 1]));
    const auto at = [&](double mm) {
      const auto next = std::lower_bound(arc_mm.begin(), arc_mm.end(), mm);
      const auto i = std::clamp<std::ptrdiff_t>(next - arc_mm.begin(), 1,
                                                static_cast<std::ptrdiff_t>(path.size()) - 1);
      const auto k = static_cast<std::size_t>(i);
      const double share = (mm - arc_mm[k - 1]) / (arc_mm[k] - arc_mm[k - 1]);
      return path[k - 1] + (path[k] - path[k - 1]) * share;
    };
    for (double mm = half_mm; mm + half_mm <= arc_mm.back(); mm += 1) {
      // The box lies on the chord between its ends, drawn towards the way's middle.
      const Vec3 a = at(mm - half_mm), b = at(mm + half_mm), m = at(mm);
      const Vec3 along = normalized(b - a), sag = m - (a + b) / 2;
      const Vec3 bend = sag - along * dot(sag, along);
      const Vec3 in_bend = norm(bend) > 1e-6 ? normalized(bend) : any_perpendicular(along);
      const Vec3 across = cross(along, in_bend), middle = (a + b) / 2 + bend / 2;
      const double low = std::min(box_mm.x, box_mm.y), wide = std::max(box_mm.x, box_mm.y);
      for (int k = 0; k < 12; ++k) {
        const Vec3 corner = middle + in_bend * ((k & 1 ? 0.5 : -0.5) * low) +
                            across * ((k & 2 ? 0.5 : -0.5) * wide) +
                            along * (half_mm * (k / 4 - 1));
        hits += std::any_of(trees_.begin(), trees_.end(),
                            [&](const RayTree& tree) { return tree.contains(corner); });
      }
    }
    return hits;
  }

 private:
  std::vector<RayTree> trees_;
};

}  // namespace seamwright::testing
