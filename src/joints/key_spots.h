#pragma once

#include <vector>

#include "seamwright/core/region.h"

namespace seamwright::joints {

/// A place in a joint face where a key could stand.
struct KeySpot {
  Vec2 at;
  double room_mm = 0;  ///< radius of the widest circle round it inside the region
};

/// Places worth trying, in a fixed order: centres of the widest inscribed circles touching the
/// outline at evenly spaced points (the ridge of the distance field: the middle of thin walls), and
/// points set in from the outline by each of `insets_mm` (the far corners of wide faces). Distances
/// are exact. Guarantees: every spot is inside the region, `room_mm` its distance to the outline,
/// no two nearer than 0.4 mm. O(spots · edges).
std::vector<KeySpot> find_key_spots(const Region2& region, const std::vector<double>& insets_mm);

/// The nearest point of the region's outline.
Vec2 nearest_on_outline(const Region2& region, Vec2 from);

}  // namespace seamwright::joints
