#include "seamwright/days/fill_box.h"
#include "seamwright/query/mass_properties.h"
#include "wear/height_map.h"

namespace seamwright::wear_detail {
namespace {

bool is_box(const BagItem& item) {
  if (item.solids.size() != 1) return false;
  const Vec3 size = item.solids[0]->box().size();
  const double box_mm3 = size.x * size.y * size.z;
  return std::abs(volume_mm3(*item.solids[0]) - box_mm3) <= 1e-9 * box_mm3;
}

/// A length in whole cells, if it is.
std::optional<int> cells_of(double mm, double cell_mm) {
  const double cells = mm / cell_mm;
  if (std::abs(cells - std::round(cells)) > 1e-6 || cells > 64) return std::nullopt;
  return static_cast<int>(std::lround(cells));
}

std::optional<std::vector<CellSize>> sizes_in(std::span<const BagItem> items, double cell_mm) {
  std::vector<CellSize> sizes;
  for (const BagItem& item : items) {
    CellSize size{};
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const auto cells = cells_of(item.solids[0]->box().size()[axis], cell_mm);
      if (!cells || *cells == 0) return std::nullopt;
      size[axis] = *cells;
    }
    sizes.push_back(size);
  }
  return sizes;
}

/// The square turn that gives a box these sides, its low corner where the place says.
Transform box_motion(const Box3& box, const BoxPlace& place, double cell_mm) {
  for (const Transform& turn : bag_turns()) {
    Box3 turned;
    turned.extend(turn.apply(box.low));
    turned.extend(turn.apply(box.high));
    const Vec3 size = turned.size();
    bool is_same = true;
    for (std::size_t axis = 0; axis < 3; ++axis)
      is_same =
          is_same && std::abs(size[axis] - place.size[axis] * cell_mm) <= 1e-6 * (1 + size[axis]);
    if (!is_same) continue;
    Transform motion = turn;
    const Vec3 at{place.at[0] * cell_mm, place.at[1] * cell_mm, place.at[2] * cell_mm};
    motion.shift = at - turned.low;
    return motion;
  }
  throw std::logic_error("broken contract: a box has a square turn for its sides");
}

}  // namespace

std::optional<std::vector<BagPlace>> fill_as_boxes(std::span<const BagItem> items, Vec3 inner_mm) {
  if (items.empty() || items.size() > 24) return std::nullopt;
  double least_mm = Box3::kFar;
  for (const BagItem& item : items) {
    if (!is_box(item)) return std::nullopt;
    const Vec3 size = item.solids[0]->box().size();
    least_mm = std::min({least_mm, size.x, size.y, size.z});
  }
  for (int share = 1; share <= 6; ++share) {
    const double cell_mm = least_mm / share;
    const auto sizes = sizes_in(items, cell_mm);
    if (!sizes) continue;
    CellSize container{};
    for (std::size_t axis = 0; axis < 3; ++axis)
      container[axis] = static_cast<int>(std::floor(inner_mm[axis] / cell_mm + 1e-6));
    if (std::min({container[0], container[1], container[2]}) < 1) return std::nullopt;
    constexpr std::uint64_t kMostSteps = 3'000'000;
    const BoxFilling filling = fill_box(*sizes, container, kMostSteps);
    if (filling.answer != FillAnswer::fits) return std::nullopt;
    std::vector<BagPlace> places;
    for (std::size_t i = 0; i < items.size(); ++i)
      places.push_back({i, box_motion(items[i].solids[0]->box(), filling.places[i], cell_mm)});
    // Lower ones go in first.
    std::stable_sort(places.begin(), places.end(), [&](const BagPlace& a, const BagPlace& b) {
      return filling.places[a.item].at[2] < filling.places[b.item].at[2];
    });
    return places;
  }
  return std::nullopt;
}

}  // namespace seamwright::wear_detail
