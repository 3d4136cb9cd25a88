#include "seams/cell_grid.h"

#include <algorithm>
#include <cmath>

#include "seams/directions.h"
#include "seams/piece_shape.h"

namespace seamwright::search {
namespace {

constexpr double kSameCorner_mm = 1e-3;
constexpr double kParallelCosine = 0.9999;  ///< of a cut face on a plane of the grid
constexpr double kStepsPerCell = 3;         ///< in which a stretch of outline is shared out

bool share_a_corner(const std::vector<Vec3>& a, const std::vector<Vec3>& b) {
  return std::any_of(a.begin(), a.end(), [&](Vec3 p) {
    return std::any_of(b.begin(), b.end(), [&](Vec3 q) { return norm(p - q) < kSameCorner_mm; });
  });
}

}  // namespace

CellGrid::CellGrid(std::shared_ptr<const ClipBody> body, const GridFrame& frame,
                   std::vector<Vec3> directions, PlanPricer& pricer, Random& random)
    : axes_(frame.axes),
      step_mm_(frame.step_mm),
      directions_(std::move(directions)),
      pricer_(pricer) {
  lay(*body, random);
  for (std::size_t axis = 0; axis < 3; ++axis) {
    for (std::size_t at = 1; at < counts_[axis]; ++at) {
      for (const PlacedHours& placed : placed_hours(pricer.prices(), plane(axis, at), *body))
        price_at(axis, at, placed.where) += placed.hours;
    }
  }
  slice(std::move(body), 0, {}, 0, counts_[0]);
  sum_prices(random, frame.shake_ratio);
  link();
}

void CellGrid::lay(const ClipBody& body, Random& random) {
  const Box3 box = extent_along(body, axes_);
  for (std::size_t k = 0; k < 3; ++k) {
    constexpr double kAtTheEnd = 0.4;  ///< pieces that just fill the room begin at the body's end
    constexpr double kSpare_mm = 1e-6;
    const double before = random.uniform() < kAtTheEnd ? 0 : random.uniform();
    low_mm_[k] = box.low[k] - kSpare_mm - before * step_mm_;
    const double layers = std::ceil((box.high[k] + kSpare_mm - low_mm_[k]) / step_mm_);
    counts_[k] = static_cast<std::size_t>(std::max(1.0, layers));
  }
  cells_.resize(counts_[0] * counts_[1] * counts_[2]);
  for (std::size_t k = 0; k < 3; ++k) {
    const std::size_t in_plane = (counts_[(k + 1) % 3] + 1) * (counts_[(k + 2) % 3] + 1);
    hours_[k].assign((counts_[k] + 1) * in_plane, 0.0);
  }
}

std::size_t CellGrid::layer_of(Vec3 point, std::size_t axis) const {
  const double layers = (dot(point, axes_[axis]) - low_mm_[axis]) / step_mm_;
  const auto last = static_cast<double>(counts_[axis] - 1);
  return static_cast<std::size_t>(std::clamp(layers, 0.0, last));
}

double& CellGrid::price_at(std::size_t axis, std::size_t at, Vec3 point) {
  const std::size_t a = (axis + 1) % 3, b = (axis + 2) % 3, wide = counts_[b] + 1;
  const std::size_t in_plane = (layer_of(point, a) + 1) * wide + layer_of(point, b) + 1;
  return hours_[axis][at * (counts_[a] + 1) * wide + in_plane];
}

void CellGrid::slice(std::shared_ptr<const ClipBody> body, std::size_t axis, Cell cell,
                     std::size_t from, std::size_t to) {
  if (body->is_empty()) return;
  if (to - from == 1) {
    cell[axis] = from;
    if (axis == 2) return add_solids(*body, cell);
    return slice(std::move(body), axis + 1, cell, 0, counts_[axis + 1]);
  }
  const std::size_t middle = (from + to) / 2;
  const BodyHalves halves = clip(*body, plane(axis, middle));
  pricer_.add_work(body->look_work());
  price(axis, middle, halves);
  slice(halves.below, axis, cell, from, middle);
  slice(halves.above, axis, cell, middle, to);
}

/// Each stretch of the outline in the cells that it runs through.
void CellGrid::price(std::size_t axis, std::size_t at, const BodyHalves& halves) {
  for (const SectionEdge& e : halves.outline) {
    const double length_mm = norm(e.to - e.from);
    const double steps = 1 + std::floor(kStepsPerCell * length_mm / step_mm_);
    const double step_h = length_mm * pricer_.outline_h_per_mm(axes_[axis], e.face) / steps;
    for (double i = 0.5; i < steps; i += 1)
      price_at(axis, at, e.from + (e.to - e.from) * (i / steps)) += step_h;
  }
}

void CellGrid::sum_prices(Random& random, double shake_ratio) {
  for (std::size_t k = 0; k < 3; ++k) {
    const std::size_t wide = counts_[(k + 2) % 3] + 1, high = counts_[(k + 1) % 3] + 1;
    for (std::size_t at = 0; at <= counts_[k]; ++at) {
      double* h = &hours_[k][at * high * wide];
      const double shake = random.uniform(1 - shake_ratio, 1 + shake_ratio);
      for (std::size_t i = wide + 1; i < high * wide; ++i) {
        if (i % wide == 0) continue;
        h[i] = h[i] * shake + h[i - 1] + h[i - wide] - h[i - wide - 1];
      }
    }
  }
}

void CellGrid::add_solids(const ClipBody& body, const Cell& cell) {
  for (const PieceShape& piece : piece_shapes(body, pricer_.mesh())) {
    CellSolid solid;
    solid.volume_mm3 = piece.volume_mm3;
    solid.skin_mm2 = piece.area_mm2;
    for (const Vec3 direction : directions_) {
      double low = std::numeric_limits<double>::infinity(), high = -low;
      for (const Vec3 p : piece.points) {
        low = std::min(low, dot(p, direction));
        high = std::max(high, dot(p, direction));
      }
      solid.low_mm.push_back(static_cast<float>(low));
      solid.high_mm.push_back(static_cast<float>(high));
    }
    for (const FootShape& foot : piece.feet) {
      if (foot.is_cap) add_seam(foot, solid);
    }
    cells_[cell_at(cell)].push_back(static_cast<std::uint32_t>(solids_.size()));
    solids_.push_back(std::move(solid));
  }
}

void CellGrid::add_seam(const FootShape& foot, CellSolid& solid) const {
  solid.skin_mm2 -= foot.area_mm2;
  for (std::size_t k = 0; k < 3; ++k) {
    const double cosine = dot(foot.outward, axes_[k]);
    if (std::abs(cosine) < kParallelCosine) continue;
    std::vector<Vec3>& corners = (cosine > 0 ? solid.high_seams : solid.low_seams)[k];
    corners.insert(corners.end(), foot.points.begin(), foot.points.end());
  }
}

/// What one cut has parted has the same corners on both of its sides.
void CellGrid::link() {
  Cell cell;
  for (cell[0] = 0; cell[0] < counts_[0]; ++cell[0]) {
    for (cell[1] = 0; cell[1] < counts_[1]; ++cell[1]) {
      for (cell[2] = 0; cell[2] < counts_[2]; ++cell[2]) {
        for (std::size_t k = 0; k < 3; ++k) {
          Cell next = cell;
          if (++next[k] == counts_[k]) continue;
          for (const std::uint32_t a : cells_[cell_at(cell)]) {
            for (const std::uint32_t b : cells_[cell_at(next)]) {
              if (share_a_corner(solids_[a].high_seams[k], solids_[b].low_seams[k]))
                solids_[a].after.push_back(b);
            }
          }
        }
      }
    }
  }
}

}  // namespace seamwright::search
