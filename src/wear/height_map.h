#pragma once

#include <optional>
#include <vector>

#include "seamwright/wear/pack_bag.h"

namespace seamwright::wear_detail {

/// A thing seen from below and above in cells: between `bottom` and `top` lies all of it. Empty
/// cells have bottom > top.
struct HeightMap {
  Transform turned;  ///< from the part's frame; the box's low corner at the origin
  int width = 0, depth = 0;
  double height_mm = 0;
  std::vector<double> bottom, top;
  std::size_t index(int x, int y) const {
    return static_cast<std::size_t>(y) * static_cast<std::size_t>(width) +
           static_cast<std::size_t>(x);
  }
};

/// Each cell holds the whole range of the surface over it, so columns that don't meet are solids
/// that don't meet. O(faces + cells they cover).
HeightMap height_map(const BagItem& item, const Transform& turn, double cell_mm);

/// The 24 square turns, and each turned by an eighth about the vertical.
std::vector<Transform> bag_turns();

/// All things are boxes along the axes with sides in a common grid, and the bag's sides hold it:
/// the complete search's places; nothing where that does not apply or finds none.
std::optional<std::vector<BagPlace>> fill_as_boxes(std::span<const BagItem> items, Vec3 inner_mm);

}  // namespace seamwright::wear_detail
