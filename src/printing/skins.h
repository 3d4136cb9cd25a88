#pragma once

#include "printing/flat.h"
#include "printing/strand.h"
#include "seamwright/core/run.h"
#include "seamwright/profile/print_settings.h"

namespace seamwright {

/// For each layer, the part of its inside that has the insides of all neighbours it needs above and
/// below: the common region of layers i − below … i + above. Walls are not in the insides, so they
/// do not count as cover. Empty where a neighbour is missing. By doubling: four intersections a
/// layer for nine neighbours.
std::vector<flat::Paths> covered_insides(const std::vector<flat::Paths>& insides, std::size_t below,
                                         std::size_t above, const Run& run);

/// What fills one layer's inside.
struct InsideLayer {
  const flat::Paths& inside;           ///< within the walls
  const flat::Paths& covered;          ///< of covered_insides
  const flat::Paths& above;            ///< the inside of the layer above; empty at the top
  const flat::Paths* below = nullptr;  ///< the part under it; null where nothing can hang: on the
                                       ///< bed, on support
  std::size_t index = 0;
};

/// Lays the skins (solid: hatched, looped where narrower than 4 lines) and the sparse fill of one
/// layer.
void fill_inside(const InsideLayer& layer, const PrintSettings& print,
                 std::vector<Strand>& strands);

}  // namespace seamwright
