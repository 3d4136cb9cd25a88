#include "seamwright/wear/pack_bag.h"

#include <fmt/format.h>

#include <numeric>

#include "seamwright/core/parallel.h"
#include "seamwright/core/random.h"
#include "wear/height_map.h"

namespace seamwright {
namespace {

using wear_detail::HeightMap;

/// The bag seen from above: how high it is filled in each column.
struct Fill {
  int width = 0, depth = 0;
  double cell_mm = 0, height_mm = 0, padding_mm = 0;
  std::vector<double> top;
};

struct Drop {
  double at_mm = 0, top_mm = Box3::kFar;
  int x = 0, y = 0;
  std::size_t turn = 0;
};

/// How low the thing comes at a cell; over `limit_mm` is given up.
double rest_height(const Fill& fill, const HeightMap& map, int x, int y, double limit_mm) {
  double rest = 0;
  for (int v = 0; v < map.depth; ++v) {
    const auto row = static_cast<std::size_t>((y + v) * fill.width + x);
    for (int u = 0; u < map.width; ++u) {
      const double bottom = map.bottom[map.index(u, v)];
      if (bottom == Box3::kFar) continue;
      const double under = fill.top[row + static_cast<std::size_t>(u)];
      const double needed = (under > 0 ? under + fill.padding_mm : 0) - bottom;
      rest = std::max(rest, needed);
    }
    if (rest > limit_mm) return rest;
  }
  return rest;
}

std::optional<Drop> best_drop(const Fill& fill, const std::vector<HeightMap>& turns) {
  std::optional<Drop> best;
  for (std::size_t turn = 0; turn < turns.size(); ++turn) {
    const HeightMap& map = turns[turn];
    for (int y = 0; y + map.depth <= fill.depth; ++y) {
      for (int x = 0; x + map.width <= fill.width; ++x) {
        const double most_top = best ? best->top_mm : fill.height_mm + 1e-9;
        const double rest = rest_height(fill, map, x, y, most_top - map.height_mm);
        const double top = rest + map.height_mm;
        if (top > fill.height_mm + 1e-9 || (best && top >= best->top_mm - 1e-9)) continue;
        best = Drop{rest, top, x, y, turn};
      }
    }
  }
  return best;
}

void settle(Fill& fill, const HeightMap& map, const Drop& drop) {
  for (int v = 0; v < map.depth; ++v) {
    for (int u = 0; u < map.width; ++u) {
      const double top = map.top[map.index(u, v)];
      if (top == -Box3::kFar) continue;
      double& column = fill.top[static_cast<std::size_t>((drop.y + v) * fill.width + drop.x + u)];
      column = std::max(column, drop.at_mm + top);
    }
  }
}

Packing pack_in_order(std::span<const BagItem> items,
                      const std::vector<std::vector<HeightMap>>& maps, Fill fill,
                      const std::vector<std::size_t>& order, double most_g) {
  Packing packing;
  for (const std::size_t item : order) {
    const std::optional<Drop> drop = packing.mass_g + items[item].mass_g <= most_g + 1e-9
                                         ? best_drop(fill, maps[item])
                                         : std::nullopt;
    if (!drop) {
      packing.left_out.push_back(item);
      continue;
    }
    const HeightMap& map = maps[item][drop->turn];
    settle(fill, map, *drop);
    Transform motion = map.turned;
    motion.shift += Vec3{drop->x * fill.cell_mm, drop->y * fill.cell_mm, drop->at_mm};
    packing.places.push_back({item, motion});
    packing.mass_g += items[item].mass_g;
    packing.filled_mm = std::max(packing.filled_mm, drop->top_mm);
  }
  std::sort(packing.left_out.begin(), packing.left_out.end());
  return packing;
}

double box_volume_mm3(const BagItem& item) {
  Box3 box;
  for (const Solid* solid : item.solids) {
    box.extend(solid->box().low);
    box.extend(solid->box().high);
  }
  const Vec3 size = box.size();
  return size.x * size.y * size.z;
}

/// The largest first; then orders with two of them exchanged.
std::vector<std::vector<std::size_t>> orders_of(std::span<const BagItem> items,
                                                const PackOptions& options) {
  std::vector<std::size_t> order(items.size());
  std::iota(order.begin(), order.end(), 0);
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return box_volume_mm3(items[a]) > box_volume_mm3(items[b]);
  });
  std::vector<std::vector<std::size_t>> orders{order};
  Random random(options.seed);
  for (int i = 1; i < options.try_count && items.size() > 1; ++i) {
    std::swap(order[random.below(order.size())], order[random.below(order.size())]);
    orders.push_back(order);
  }
  return orders;
}

Fill empty_fill(const BagChoice& bag, const PackOptions& options) {
  Fill fill;
  const double longest_mm = std::max({bag.inner_mm.x, bag.inner_mm.y, bag.inner_mm.z});
  fill.cell_mm = longest_mm / options.cells_a_side;
  fill.width = static_cast<int>(std::floor(bag.inner_mm.x / fill.cell_mm + 1e-9));
  fill.depth = static_cast<int>(std::floor(bag.inner_mm.y / fill.cell_mm + 1e-9));
  fill.height_mm = bag.inner_mm.z;
  fill.padding_mm = bag.padding_mm;
  fill.top.assign(static_cast<std::size_t>(fill.width) * static_cast<std::size_t>(fill.depth), 0);
  return fill;
}

double total_mass_g(std::span<const BagItem> items) {
  double sum = 0;
  for (const BagItem& item : items) sum += item.mass_g;
  return sum;
}

}  // namespace

Result<Packing> pack_bag(std::span<const BagItem> items, const BagChoice& bag,
                         const PackOptions& options, const Run& run) {
  const Fill fill = empty_fill(bag, options);
  const std::vector<Transform> turns = wear_detail::bag_turns();
  std::vector<std::vector<HeightMap>> maps;
  for (const BagItem& item : items) {
    if (run.should_stop()) return Error{"cancelled", "stopped while packing"};
    maps.push_back(map_index(turns.size(), run, [&](std::size_t i) {
      return wear_detail::height_map(item, turns[i], fill.cell_mm);
    }));
  }
  const double most_g = bag.most_kg * 1000;
  std::optional<Packing> best;
  for (const std::vector<std::size_t>& order : orders_of(items, options)) {
    if (run.should_stop()) return Error{"cancelled", "stopped while packing"};
    Packing packing = pack_in_order(items, maps, fill, order, most_g);
    if (!best || packing.places.size() > best->places.size()) best = std::move(packing);
    if (best->fits()) return std::move(*best);
  }
  if (total_mass_g(items) <= most_g) {
    if (auto places = wear_detail::fill_as_boxes(items, bag.inner_mm))
      return Packing{std::move(*places), {}, total_mass_g(items), bag.inner_mm.z};
  }
  return std::move(*best);
}

std::vector<std::string> carrier_faults(const BagChoice& bag, double mass_g) {
  constexpr double kMostSumMm = 1580, kMostG = 23000;
  std::vector<std::string> faults;
  const double sum_mm = bag.inner_mm.x + bag.inner_mm.y + bag.inner_mm.z;
  if (sum_mm > kMostSumMm)
    faults.push_back(
        fmt::format("{:.0f} cm in sum even inside, carriers take 158 cm outside", sum_mm / 10));
  if (mass_g > kMostG)
    faults.push_back(
        fmt::format("{:.1f} kg without the bag, carriers take 23 kg with it", mass_g / 1000));
  return faults;
}

}  // namespace seamwright
