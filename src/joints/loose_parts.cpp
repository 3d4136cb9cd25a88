#include "seamwright/joints/loose_parts.h"

#include <cmath>
#include <map>

#include "seamwright/joints/key_pieces.h"

namespace seamwright {

Solid gathered(std::span<const Solid> solids) {
  std::vector<Vec3> points;
  std::vector<Triangle> triangles;
  std::vector<Origin> origins;
  for (const Solid& solid : solids) {
    const std::size_t first = points.size();
    points.insert(points.end(), solid.points().begin(), solid.points().end());
    origins.insert(origins.end(), solid.origins().begin(), solid.origins().end());
    for (Triangle t : solid.triangles()) {
      for (VertexId& v : t) v = to_id<VertexId>(to_index(v) + first);
      triangles.push_back(t);
    }
  }
  return Solid::adopt(std::move(points), std::move(triangles), std::move(origins));
}

std::vector<RodCut> rod_cuts(std::span<const Joint> joints) {
  constexpr double kEqual_mm = 0.05;
  std::map<std::pair<long, long>, std::size_t> counts;  // negative: the greatest first
  for (const Joint& joint : joints) {
    for (const Key& key : joint.keys) {
      if (key.kind != KeyKind::dowel) continue;
      const double length_mm = 2 * (key.depth_mm - kRodEndRoom_mm);
      ++counts[{-std::lround(key.diameter_mm / kEqual_mm), -std::lround(length_mm / kEqual_mm)}];
    }
  }
  std::vector<RodCut> cuts;
  for (const auto& [size, count] : counts) {
    cuts.push_back({static_cast<double>(-size.first) * kEqual_mm,
                    static_cast<double>(-size.second) * kEqual_mm, count});
  }
  return cuts;
}

}  // namespace seamwright
