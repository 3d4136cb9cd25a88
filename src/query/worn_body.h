#pragma once

#include "query/cell_grid.h"
#include "seamwright/query/sight.h"

namespace seamwright {

/// The body that wears a part, as cells and as a surface for rays.
struct WornBody {
  CellGrid grid;
  std::vector<std::uint8_t> is_body;  ///< one a cell
  std::vector<Vec3> points;           ///< its boundary, two triangles a cell side
  std::vector<Triangle> triangles;

  bool holds(Vec3 p) const {
    const std::size_t at = grid.holding(p);
    return at < is_body.size() && is_body[at] != 0;
  }
};

/// Fills the part's hollow on the worn side, or within the ring, with a body (SIGHT). `part` is the
/// scene of the solid alone. Requires mode worn or around.
WornBody make_worn_body(const Solid& solid, const EmbreeScene& part, const SightOptions& options,
                        const Run& run);

}  // namespace seamwright
