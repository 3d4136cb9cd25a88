#include "seamwright/days/nest.h"

#include <numeric>

#include "days/bed_grid.h"
#include "printing/flat.h"
#include "seamwright/core/random.h"
#include "seamwright/core/result.h"
#include "seamwright/query/hull.h"

namespace seamwright {
namespace {

using days_detail::BedGrid;
using days_detail::Cell;
using days_detail::CellMask;
using days_detail::mask_of;

struct TurnedMask {
  Angle turn;
  CellMask mask;
};
using ItemMasks = std::vector<TurnedMask>;

Vec2 turned(Vec2 p, Angle turn) {
  const double c = std::cos(turn.radians()), s = std::sin(turn.radians());
  return {c * p.x - s * p.y, s * p.x + c * p.y};
}

/// Quarter turns of what is square to the axes stay square to the last bit.
Vec2 turned_exactly(Vec2 p, Angle turn) {
  const double quarters = turn.degrees() / 90;
  if (quarters != std::round(quarters)) return turned(p, turn);
  const int quarter = (static_cast<int>(std::lround(quarters)) % 4 + 4) % 4;
  return quarter == 0 ? p : quarter == 1 ? Vec2{-p.y, p.x} : quarter == 2 ? -p : Vec2{p.y, -p.x};
}

flat::Paths paths_of(const NestItem& item) {
  flat::Paths paths;
  for (const Region2& region : item.outline) {
    paths.push_back(flat::from_mm(region.outer));
    for (const Loop2& hole : region.holes) paths.push_back(flat::from_mm(hole));
  }
  return paths;
}

/// The item grown by half the clearance: what may touch but not overlap.
std::vector<Loop2> grown_loops(const flat::Paths& paths, double by_mm) {
  std::vector<Loop2> loops;
  for (const flat::Path& path : by_mm > 0 ? flat::grown(paths, by_mm) : paths)
    loops.push_back(flat::to_mm(path));
  return loops;
}

/// The turn that lays the item's least box square to the bed: an edge of its hull lies along it.
double squaring_deg(const std::vector<Loop2>& loops) {
  std::vector<Vec2> points;
  for (const Loop2& loop : loops) points.insert(points.end(), loop.begin(), loop.end());
  const std::vector<Vec2> hull = convex_hull(std::move(points));
  double least_mm2 = Box3::kFar, best_deg = 0;
  for (std::size_t i = 0; i < hull.size(); ++i) {
    const Vec2 edge = hull[(i + 1) % hull.size()] - hull[i];
    const Angle turn = Angle::radians(-std::atan2(edge.y, edge.x));
    Vec2 low{Box3::kFar, Box3::kFar}, high = -low;
    for (const Vec2 p : hull) {
      const Vec2 q = turned(p, turn);
      low = {std::min(low.x, q.x), std::min(low.y, q.y)};
      high = {std::max(high.x, q.x), std::max(high.y, q.y)};
    }
    const double box_mm2 = (high.x - low.x) * (high.y - low.y);
    if (box_mm2 < least_mm2 * (1 - 1e-9)) {
      least_mm2 = box_mm2;
      best_deg = turn.degrees();
    }
  }
  return best_deg;
}

bool same_cells(const CellMask& a, const CellMask& b) {
  const auto same_runs = [](const auto& x, const auto& y) {
    return std::equal(x.begin(), x.end(), y.begin(), y.end(), [](const auto& r, const auto& s) {
      return r.begin == s.begin && r.end == s.end;
    });
  };
  return a.width == b.width && a.height == b.height &&
         std::equal(a.rows.begin(), a.rows.end(), b.rows.begin(), b.rows.end(), same_runs);
}

ItemMasks masks_of(const NestItem& item, const NestOptions& options) {
  const std::vector<Loop2> loops = grown_loops(paths_of(item), options.clearance_mm / 2);
  const double step_deg = 360.0 / std::max(1, options.turn_count);
  const double square_deg = squaring_deg(loops);
  std::vector<double> turns_deg{0, 90, 180, 270};
  if (options.turn_count < 4)
    turns_deg.resize(static_cast<std::size_t>(std::max(1, options.turn_count)));
  for (int k = 0; options.turn_count > 4 && k < options.turn_count; ++k)
    turns_deg.push_back(square_deg + k * step_deg);
  ItemMasks masks;
  for (const double turn_deg : turns_deg) {
    const Angle turn = Angle::degrees(turn_deg);
    std::vector<Loop2> moved = loops;
    for (Loop2& loop : moved) {
      for (Vec2& p : loop) p = turned_exactly(p, turn);
    }
    CellMask mask = mask_of(moved, options.cell_mm);
    const bool is_known = std::any_of(masks.begin(), masks.end(), [&](const TurnedMask& known) {
      return same_cells(known.mask, mask);
    });
    if (!is_known) masks.push_back({turn, std::move(mask)});
  }
  return masks;
}

struct EmptyBed {
  Vec2 low;
  int width = 0, height = 0;
  BedGrid grid;
};

/// The bed grown by half the clearance, for items that are grown by as much.
EmptyBed empty_bed(const BedArea& bed, const NestOptions& options) {
  const double half_mm = options.clearance_mm / 2;
  const flat::Paths outline{flat::from_mm(bed.outline)};
  const flat::Paths usable = half_mm > 0 ? flat::grown(outline, half_mm) : outline;
  Vec2 low{Box3::kFar, Box3::kFar}, high = -low;
  for (const flat::Path& path : usable) {
    for (const Vec2 p : flat::to_mm(path)) {
      low = {std::min(low.x, p.x), std::min(low.y, p.y)};
      high = {std::max(high.x, p.x), std::max(high.y, p.y)};
    }
  }
  const auto cells = [&](double mm) {
    return static_cast<int>(std::floor(mm / options.cell_mm + 1e-6));
  };
  EmptyBed empty{low, cells(high.x - low.x), cells(high.y - low.y), BedGrid(0, 0)};
  empty.grid = BedGrid(empty.width, empty.height);
  const flat::Paths box{flat::from_mm({low, {high.x, low.y}, high, {low.x, high.y}})};
  std::vector<Loop2> taken;
  for (const flat::Path& path : flat::minus(box, usable)) taken.push_back(flat::to_mm(path));
  if (!taken.empty()) empty.grid.take(mask_of(taken, options.cell_mm, low), {});
  for (const Loop2& loop : bed.blocked) {
    const CellMask mask = mask_of(grown_loops({flat::from_mm(loop)}, half_mm), options.cell_mm);
    const Vec2 at = (mask.low - low) / options.cell_mm;
    // Not in step with the grid: take the cells of both sides.
    for (const int dx : {0, 1}) {
      for (const int dy : {0, 1})
        empty.grid.take(mask, {static_cast<int>(std::floor(at.x)) + dx,
                               static_cast<int>(std::floor(at.y)) + dy});
    }
  }
  return empty;
}

/// An order of laying, and for some items the only turn allowed.
struct LayOrder {
  std::vector<std::size_t> items;
  std::vector<int> forced_turn;  ///< -1: the turn with the lowest top
};
struct Laid {
  std::vector<NestPlace> places;
  std::vector<std::size_t> left_out;
  double placed_cells = 0, top = 0, top_sum = 0;
  /// More lies, else lower.
  bool is_better_than(const Laid& other) const {
    if (placed_cells != other.placed_cells) return placed_cells > other.placed_cells;
    return top != other.top ? top < other.top : top_sum <= other.top_sum;
  }
};

struct Choice {
  const TurnedMask* mask = nullptr;
  Cell at;
  int top = std::numeric_limits<int>::max();
};

Choice lowest_choice(const BedGrid& grid, const ItemMasks& masks, int forced_turn) {
  Choice best;
  for (std::size_t k = 0; k < masks.size(); ++k) {
    if (forced_turn >= 0 && k != static_cast<std::size_t>(forced_turn) % masks.size()) continue;
    const auto at = grid.find_place(masks[k].mask, best.top);
    if (!at) continue;
    const int top = at->y + masks[k].mask.height;
    if (best.mask == nullptr || top < best.top || at->x < best.at.x) best = {&masks[k], *at, top};
  }
  return best;
}

Laid lay(const std::vector<ItemMasks>& masks, EmptyBed bed, const LayOrder& order, double cell_mm) {
  Laid laid;
  for (const std::size_t item : order.items) {
    const Choice choice = lowest_choice(bed.grid, masks[item], order.forced_turn[item]);
    if (choice.mask == nullptr) {
      laid.left_out.push_back(item);
      continue;
    }
    bed.grid.take(choice.mask->mask, choice.at);
    const Vec2 at =
        bed.low +
        Vec2{static_cast<double>(choice.at.x), static_cast<double>(choice.at.y)} * cell_mm;
    laid.places.push_back({item, choice.mask->turn, at - choice.mask->mask.low});
    // By the item, not as turned: slanted masks touch more cells.
    laid.placed_cells += masks[item].front().mask.cell_count;
    laid.top = std::max<double>(laid.top, choice.top);
    laid.top_sum += choice.top;
  }
  return laid;
}

LayOrder changed(LayOrder order, Random& random) {
  const std::size_t n = order.items.size();
  const std::size_t i = random.below(n), j = random.below(n);
  switch (random.below(3)) {
    case 0:
      std::swap(order.items[i], order.items[j]);
      break;
    case 1: {
      const std::size_t item = order.items[i];
      order.items.erase(order.items.begin() + static_cast<std::ptrdiff_t>(i));
      order.items.insert(order.items.begin() + static_cast<std::ptrdiff_t>(j), item);
      break;
    }
    default:
      order.forced_turn[order.items[i]] = static_cast<int>(random.below(5)) - 1;
  }
  return order;
}

Laid best_lay(const std::vector<ItemMasks>& masks, const EmptyBed& bed,
              const NestOptions& options) {
  LayOrder order{std::vector<std::size_t>(masks.size()), std::vector<int>(masks.size(), -1)};
  std::iota(order.items.begin(), order.items.end(), 0);
  Laid best = lay(masks, bed, order, options.cell_mm);
  const auto is_done = [&](const Laid& laid) {
    return laid.left_out.empty() && laid.top * options.cell_mm <= options.good_mm + 1e-9;
  };
  Random random(options.seed);
  for (int round = 1; round < options.try_count && !is_done(best) && masks.size() > 1; ++round) {
    LayOrder next = order;
    if (round == 1) {
      std::stable_sort(next.items.begin(), next.items.end(), [&](std::size_t a, std::size_t b) {
        return masks[a].front().mask.cell_count > masks[b].front().mask.cell_count;
      });
    } else {
      next = changed(order, random);
      if (random.below(3) == 0) next = changed(std::move(next), random);
    }
    Laid laid = lay(masks, bed, next, options.cell_mm);
    if (!laid.is_better_than(best)) continue;
    best = std::move(laid);
    order = std::move(next);
  }
  return best;
}

}  // namespace

Vec2 NestPlace::apply(Vec2 p) const {
  return turned_exactly(p, turn) + shift;
}

BedArea rectangle_bed(Vec2 low, Vec2 high) {
  return {{low, {high.x, low.y}, high, {low.x, high.y}}, {}};
}

BedArea round_bed(Vec2 middle, double diameter_mm) {
  const double radius = diameter_mm / 2;
  const int sides =
      std::max(16, static_cast<int>(std::ceil(std::numbers::pi / std::acos(1 - 0.005 / radius))));
  BedArea bed;
  for (int i = 0; i < sides; ++i) {
    const double turn = 2 * std::numbers::pi * i / sides;
    bed.outline.push_back(middle + Vec2{std::cos(turn), std::sin(turn)} * radius);
  }
  return bed;
}

Nesting nest(std::span<const NestItem> items, const BedArea& bed, const NestOptions& options) {
  require(options.cell_mm > 0 && options.clearance_mm >= 0,
          "a cell has a size, a clearance is not negative");
  std::vector<ItemMasks> masks;
  for (const NestItem& item : items) masks.push_back(masks_of(item, options));
  Laid laid = best_lay(masks, empty_bed(bed, options), options);
  Nesting nesting{std::move(laid.places), std::move(laid.left_out), laid.top * options.cell_mm};
  std::sort(nesting.places.begin(), nesting.places.end(),
            [](const NestPlace& a, const NestPlace& b) { return a.item < b.item; });
  std::sort(nesting.left_out.begin(), nesting.left_out.end());
  return nesting;
}

}  // namespace seamwright
