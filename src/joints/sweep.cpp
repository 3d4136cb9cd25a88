#include "joints/sweep.h"

#include <vector>

namespace seamwright::joints {

Solid swept_solid(std::span<const std::array<Vec3, 4>> stations, Origin origin) {
  require(stations.size() >= 2, "a sweep has two stations or more");
  std::vector<Vec3> points;
  for (const auto& station : stations) points.insert(points.end(), station.begin(), station.end());
  std::vector<Triangle> triangles;
  const auto quad = [&](std::size_t a, std::size_t b, std::size_t c, std::size_t d) {
    triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(b), to_id<VertexId>(c)});
    triangles.push_back({to_id<VertexId>(a), to_id<VertexId>(c), to_id<VertexId>(d)});
  };
  const std::size_t last = 4 * (stations.size() - 1);
  for (std::size_t i = 0; i < last; i += 4) {
    for (std::size_t k = 0; k < 4; ++k)
      quad(i + k, i + (k + 1) % 4, i + 4 + (k + 1) % 4, i + 4 + k);
  }
  quad(0, 3, 2, 1);
  quad(last, last + 1, last + 2, last + 3);
  std::vector<Origin> origins(triangles.size(), origin);
  return Solid::adopt(std::move(points), std::move(triangles), std::move(origins));
}

}  // namespace seamwright::joints
