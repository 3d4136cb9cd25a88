#include "query/cell_grid.h"

#include <numbers>

#include "query/directions.h"
#include "seamwright/query/hull.h"

namespace seamwright {
namespace {

/// Whether a triangle touches the cube of half side `half` about the origin, by separating axes.
/// Source: Akenine-Möller, J. Graphics Tools 6(1) (2001) (memory).
bool touches_cube(const std::array<Vec3, 3>& t, double half) {
  const auto is_apart = [&](Vec3 axis) {
    const double a = dot(axis, t[0]), b = dot(axis, t[1]), c = dot(axis, t[2]);
    const double reach = half * (std::abs(axis.x) + std::abs(axis.y) + std::abs(axis.z));
    return std::min({a, b, c}) > reach || std::max({a, b, c}) < -reach;
  };
  constexpr std::array<Vec3, 3> kAxes{Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}};
  for (Vec3 axis : kAxes) {
    if (is_apart(axis)) return false;
  }
  if (is_apart(cross(t[1] - t[0], t[2] - t[0]))) return false;
  for (std::size_t k = 0; k < 3; ++k) {
    const Vec3 side = t[(k + 1) % 3] - t[k];
    for (Vec3 axis : kAxes) {
      if (is_apart(cross(axis, side))) return false;
    }
  }
  return true;
}

/// The cells along one axis that [low, high] overlaps, as a half-open range.
std::pair<std::size_t, std::size_t> cell_range(const CellGrid& grid, std::size_t axis, double low,
                                               double high) {
  const double from = std::floor((low - grid.low[axis]) / grid.cell_mm);
  const double to = std::floor((high - grid.low[axis]) / grid.cell_mm) + 1;
  const double most = static_cast<double>(grid.count[axis]);
  return {static_cast<std::size_t>(std::clamp(from, 0.0, most)),
          static_cast<std::size_t>(std::clamp(to, 0.0, most))};
}

void mark_skin(CellGrid& grid, const std::array<Vec3, 3>& corners) {
  Box3 box;
  for (Vec3 p : corners) box.extend(p);
  const auto [i0, i1] = cell_range(grid, 0, box.low.x, box.high.x);
  const auto [j0, j1] = cell_range(grid, 1, box.low.y, box.high.y);
  const auto [k0, k1] = cell_range(grid, 2, box.low.z, box.high.z);
  for (std::size_t k = k0; k < k1; ++k) {
    for (std::size_t j = j0; j < j1; ++j) {
      for (std::size_t i = i0; i < i1; ++i) {
        Cell& cell = grid.cells[grid.position(i, j, k)];
        if (cell == Cell::skin) continue;
        const Vec3 center = grid.center(grid.position(i, j, k));
        if (touches_cube({corners[0] - center, corners[1] - center, corners[2] - center},
                         grid.cell_mm / 2)) {
          cell = Cell::skin;
        }
      }
    }
  }
}

/// Opens the cells of each column along z whose centres are inside the hull.
void open_hull(CellGrid& grid, const Hull& hull) {
  std::vector<Plane> planes;
  for (const Triangle& t : hull.triangles) {
    const Vec3 a = hull.points[to_index(t[0])];
    const Vec3 n =
        normalized(cross(hull.points[to_index(t[1])] - a, hull.points[to_index(t[2])] - a));
    if (n != Vec3{}) planes.push_back({n, dot(n, a)});
  }
  for (std::size_t j = 0; j < grid.count[1]; ++j) {
    for (std::size_t i = 0; i < grid.count[0]; ++i) {
      const Vec3 foot = grid.center(grid.position(i, j, 0));
      double low = foot.z, high = foot.z + grid.cell_mm * static_cast<double>(grid.count[2]);
      for (const Plane& plane : planes) {
        const double gap = plane.distance({foot.x, foot.y, 0}), slope = plane.normal.z;
        if (slope > 1e-12) high = std::min(high, -gap / slope);
        if (slope < -1e-12) low = std::max(low, -gap / slope);
        if (std::abs(slope) <= 1e-12 && gap > 0) high = low - 1;
      }
      for (std::size_t k = 0; k < grid.count[2]; ++k) {
        const double z = grid.center(grid.position(i, j, k)).z;
        if (low <= z && z <= high) grid.cells[grid.position(i, j, k)] = Cell::open;
      }
    }
  }
}

}  // namespace

std::size_t CellGrid::holding(Vec3 p) const {
  std::array<std::size_t, 3> at{};
  for (std::size_t k = 0; k < 3; ++k) {
    const double cell = std::floor((p[k] - low[k]) / cell_mm);
    if (cell < 0 || cell >= static_cast<double>(count[k])) return cells.size();
    at[k] = static_cast<std::size_t>(cell);
  }
  return position(at[0], at[1], at[2]);
}

CellGrid make_cell_grid(const Solid& solid, int cell_count) {
  constexpr double kPad = 4;
  const Vec3 size = solid.box().size();
  CellGrid grid;
  grid.cell_mm = std::max({size.x, size.y, size.z}) / cell_count;
  for (std::size_t k = 0; k < 3; ++k) {
    grid.count[k] = static_cast<std::size_t>(std::ceil(size[k] / grid.cell_mm) + 2 * kPad);
    // Centred: what is over is shared by both ends.
    grid.low[k] = solid.box().center()[k] - grid.cell_mm * static_cast<double>(grid.count[k]) / 2;
  }
  grid.cells.assign(grid.count[0] * grid.count[1] * grid.count[2], Cell::outside_hull);
  open_hull(grid, convex_hull(solid.points()));
  for (std::size_t f = 0; f < solid.face_count(); ++f)
    mark_skin(grid, solid.corners(to_id<FaceId>(f)));
  return grid;
}

void RayTally::add(const RTCRayHit& met) {
  ++rays;
  if (met.hit.geomID == RTC_INVALID_GEOMETRY_ID) return;
  ++hits;
  const float along =
      met.ray.dir_x * met.hit.Ng_x + met.ray.dir_y * met.hit.Ng_y + met.ray.dir_z * met.hit.Ng_z;
  if (along > 0) ++from_behind;
}

RayTally tally_around(const EmbreeScene& scene, Vec3 from, Vec3 axis, int rays, double turn_ratio) {
  const Frame3 frame(axis);
  RayTally tally;
  for (int i = 0; i < rays; ++i) {
    const double phi = 2 * std::numbers::pi * (i + turn_ratio) / rays;
    tally.add(scene.first_hit(from, frame.lift({std::cos(phi), std::sin(phi), 0}), 0, 1e9));
  }
  return tally;
}

}  // namespace seamwright
