#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace seamwright {

using CellSize = std::array<int, 3>;  ///< in cells of a common grid

/// Where a box went: its low corner and its sides as turned.
struct BoxPlace {
  CellSize at{}, size{};
};

enum class FillAnswer : std::uint8_t { fits, fits_not, gave_up };

struct BoxFilling {
  FillAnswer answer = FillAnswer::gave_up;
  std::vector<BoxPlace> places;  ///< one a box, when they fit
  std::uint64_t step_count = 0;  ///< boxes put down while searching
};

/// Whether boxes, turned square, all go into a container (a flat one has a side of 1), by complete
/// search: the first free cell is the low corner of some box, or stays empty while empty cells are
/// left over. Layers that hold an odd count of free cells need boxes of odd section, which prunes.
/// Guarantees: places lie in the container and don't overlap; `fits_not` is proved; `gave_up` only
/// after `most_steps`. Exponential at worst; for up to about 20 boxes.
BoxFilling fill_box(std::span<const CellSize> boxes, CellSize container,
                    std::uint64_t most_steps = 50'000'000);

}  // namespace seamwright
