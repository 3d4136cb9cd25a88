#pragma once

#include "printing/flat.h"
#include "printing/strand.h"

namespace seamwright {

/// How many loops of which kind.
struct WallPlan {
  double width_mm = 0.4;
  std::size_t count = 3;
  LineKind first = LineKind::outer_wall, others = LineKind::inner_wall, thin = LineKind::gap;
  LineKind first_thin = LineKind::outer_wall;  ///< a single line that is the outer wall itself
};

/// Lays loops from the island's edge inward, a single line wherever a part is too narrow for two,
/// and appends them to `strands`. Returns what is left inside the last loop, empty where single
/// lines fill it. The laid area (length × width) is the area taken from the island to 1 %.
flat::Paths lay_walls(const flat::Paths& island, const WallPlan& plan,
                      std::vector<Strand>& strands);

}  // namespace seamwright
