#include <fmt/format.h>

#include <numeric>

#include "query/cell_grid.h"
#include "query/directions.h"
#include "seamwright/core/parallel.h"
#include "seamwright/query/sight.h"

namespace seamwright {
namespace {

constexpr int kCells = 36, kAroundRays = 32;
constexpr std::size_t kSphereRays = 256;
constexpr double kRoofedShare = 0.8, kAroundShare = 0.6;
constexpr double kLeastSide = 0.30, kMostOpposite = 0.65, kNearBest = 0.9, kLeastAround = 0.35;

/// The 26 directions to the neighbours of a cell of a cubic grid.
std::vector<Vec3> neighbour_directions() {
  std::vector<Vec3> directions;
  for (int x = -1; x <= 1; ++x) {
    for (int y = -1; y <= 1; ++y) {
      for (int z = -1; z <= 1; ++z) {
        if (x != 0 || y != 0 || z != 0)
          directions.push_back(normalized(Vec3{1.0 * x, 1.0 * y, 1.0 * z}));
      }
    }
  }
  return directions;
}

/// What one cell says: bit i of `roofed` is set when the hemisphere away from direction i is mostly
/// hit, bit k of `ringed` when the part is all around in the plane across axis k.
struct CellView {
  std::uint32_t roofed = 0;
  std::uint8_t ringed = 0;
};

struct GuessScene {
  CellGrid grid;
  EmbreeScene part;
  std::vector<Vec3> sides = neighbour_directions(), rays = sphere_directions(kSphereRays);

  explicit GuessScene(const Solid& solid)
      : grid(make_cell_grid(solid, kCells)),
        part(solid.box().center(), norm(solid.box().size()) / 2) {
    part.add(solid.points(), solid.triangles());
    part.commit();
  }

  CellView view_from(std::size_t cell) const {
    if (grid.cells[cell] != Cell::open) return {};
    const Vec3 center = grid.center(cell);
    RayTally tally;
    std::vector<bool> is_hit;
    for (Vec3 ray : rays) {
      const int before = tally.hits;
      tally.add(part.first_hit(center, ray, 0, 1e9));
      is_hit.push_back(tally.hits > before);
    }
    if (tally.is_inside_solid()) return {};
    CellView view;
    for (std::size_t i = 0; i < sides.size(); ++i)
      view.roofed |= is_roofed(is_hit, sides[i]) ? 1U << i : 0U;
    for (std::size_t k = 0; k < 3; ++k) {
      Vec3 axis;
      axis[k] = 1;
      const bool is_ringed =
          tally_around(part, center, axis, kAroundRays, 0.37).hit_ratio() >= kAroundShare;
      view.ringed |= static_cast<std::uint8_t>(is_ringed ? 1U << k : 0U);
    }
    return view;
  }

  /// Whether the rays away from `side`, weighted by −d·side, hit in the needed share.
  bool is_roofed(const std::vector<bool>& is_hit, Vec3 side) const {
    double hit = 0, all = 0;
    for (std::size_t i = 0; i < rays.size(); ++i) {
      const double weight = std::max(0.0, -dot(rays[i], side));
      all += weight;
      hit += is_hit[i] ? weight : 0;
    }
    return hit >= kRoofedShare * all;
  }
};

/// Shares of the hull's cells.
struct Shares {
  std::vector<double> side_ratio;
  std::array<double, 3> around_ratio{};
};

Shares count_shares(const GuessScene& scene, const std::vector<CellView>& views) {
  Shares shares{std::vector<double>(scene.sides.size(), 0), {}};
  double hull_cells = 0;
  for (std::size_t c = 0; c < views.size(); ++c) {
    hull_cells += scene.grid.cells[c] != Cell::outside_hull ? 1 : 0;
    for (std::size_t i = 0; i < scene.sides.size(); ++i)
      shares.side_ratio[i] += (views[c].roofed >> i) & 1U;
    for (std::size_t k = 0; k < 3; ++k) shares.around_ratio[k] += (views[c].ringed >> k) & 1U;
  }
  for (double& s : shares.side_ratio) s /= std::max(1.0, hull_cells);
  for (double& s : shares.around_ratio) s /= std::max(1.0, hull_cells);
  return shares;
}

std::size_t position_of_largest(std::span<const double> values) {
  return static_cast<std::size_t>(std::ranges::max_element(values) - values.begin());
}

WornGuess side_guess(const GuessScene& scene, const Shares& shares, double best) {
  Vec3 mean;
  for (std::size_t i = 0; i < scene.sides.size(); ++i) {
    if (shares.side_ratio[i] >= kNearBest * best) mean += scene.sides[i] * shares.side_ratio[i];
  }
  const Vec3 side = normalized(mean);
  return {SightMode::worn, side, best,
          fmt::format("{:.0f} % of the space within its hull is hollow and open to that side",
                      100 * best)};
}

WornGuess decide(const GuessScene& scene, const Shares& shares) {
  const std::size_t best = position_of_largest(shares.side_ratio),
                    ring = position_of_largest(shares.around_ratio);
  const double side_ratio = shares.side_ratio[best];
  // The opposite of direction i is the last but i: the directions are in symmetric order.
  const double opposite_ratio = shares.side_ratio[scene.sides.size() - 1 - best];
  if (side_ratio >= kLeastSide && opposite_ratio <= kMostOpposite * side_ratio)
    return side_guess(scene, shares, side_ratio);
  if (shares.around_ratio[ring] >= kLeastAround) {
    Vec3 axis;
    axis[ring] = 1;
    return {SightMode::around, axis, shares.around_ratio[ring],
            fmt::format("{:.0f} % of the space within its hull has the part all around it",
                        100 * shares.around_ratio[ring])};
  }
  return {SightMode::none,
          {0, 0, -1},
          side_ratio,
          fmt::format("only {:.0f} % of the space within its hull is hollow towards one side: how "
                      "it is worn can't be told from its shape",
                      100 * side_ratio)};
}

}  // namespace

Result<WornGuess> guess_worn_side(const Solid& solid, const Run& run) {
  const GuessScene scene(solid);
  const std::vector<CellView> views = map_index(
      scene.grid.cells.size(), run,
      [&](std::size_t cell) { return run.should_stop() ? CellView{} : scene.view_from(cell); }, 64);
  if (run.should_stop()) return Error{"cancelled", "the guess of the worn side was stopped"};
  return decide(scene, count_shares(scene, views));
}

}  // namespace seamwright
