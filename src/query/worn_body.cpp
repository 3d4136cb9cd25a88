#include "query/worn_body.h"

#include "query/directions.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

constexpr int kCells = 56, kAroundRays = 32, kHemisphereRays = 64;
constexpr double kAroundShare = 0.6, kHemisphereShare = 0.8;

/// Tells for one cell whether the wearer's body is there.
struct CellJudge {
  const EmbreeScene& part;
  const SightOptions& options;
  std::vector<Sample4> samples = spread_samples(kHemisphereRays);

  /// Share of rays of the hemisphere away from the worn side that hit, weighted by −d·side.
  double roofed_ratio(Vec3 from, double turn_ratio) const {
    const Frame3 frame(-options.worn_side);
    int hits = 0;
    for (const Sample4& s : samples) {
      const Vec3 direction = frame.lift(cosine_direction(s[0], wrapped(s[1] + turn_ratio)));
      hits += part.is_blocked(from, direction, 0, 1e9) ? 1 : 0;
    }
    return static_cast<double>(hits) / kHemisphereRays;
  }

  bool is_body(Vec3 center, double turn_ratio) const {
    const RayTally around = tally_around(part, center, options.worn_side, kAroundRays, turn_ratio);
    if (around.is_inside_solid()) return false;
    if (around.hit_ratio() >= kAroundShare) return true;
    return options.mode == SightMode::worn && roofed_ratio(center, turn_ratio) >= kHemisphereShare;
  }
};

/// Adds the side of cell (i, j, k) that looks along ±axis.
void add_side(WornBody& body, std::array<std::size_t, 3> cell, std::size_t axis, bool is_high) {
  cell[axis] += is_high ? 1 : 0;
  const std::size_t first = body.points.size(), u = (axis + 1) % 3, v = (axis + 2) % 3;
  for (std::size_t corner : {0U, 1U, 3U, 2U}) {
    std::array<std::size_t, 3> at = cell;
    at[u] += corner & 1U;
    at[v] += corner >> 1U;
    body.points.push_back(body.grid.corner(at[0], at[1], at[2]));
  }
  const auto id = [first](std::size_t k) { return to_id<VertexId>(first + k); };
  body.triangles.push_back({id(0), id(1), id(2)});
  body.triangles.push_back({id(0), id(2), id(3)});
}

/// The sides between body and not body; cells at the grid's rim are never body.
void add_boundary(WornBody& body) {
  for (std::size_t at = 0; at < body.is_body.size(); ++at) {
    if (body.is_body[at] == 0) continue;
    const std::array<std::size_t, 3> cell = body.grid.indices(at);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      for (bool is_high : {false, true}) {
        std::array<std::size_t, 3> next = cell;
        next[axis] += is_high ? 1 : -1;
        if (body.is_body[body.grid.position(next[0], next[1], next[2])] == 0)
          add_side(body, cell, axis, is_high);
      }
    }
  }
}

}  // namespace

WornBody make_worn_body(const Solid& solid, const EmbreeScene& part, const SightOptions& options,
                        const Run& run) {
  WornBody body;
  body.grid = make_cell_grid(solid, kCells);
  const CellJudge judge{part, options};
  body.is_body = map_index(
      body.grid.cells.size(), run,
      [&](std::size_t at) -> std::uint8_t {
        if (body.grid.cells[at] != Cell::open || run.should_stop()) return 0;
        const double turn_ratio = wrapped(static_cast<double>(at) / std::numbers::phi);
        return judge.is_body(body.grid.center(at), turn_ratio) ? 1 : 0;
      },
      64);
  add_boundary(body);
  return body;
}

}  // namespace seamwright
