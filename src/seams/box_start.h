#pragma once

#include "seams/cell_grid.h"

namespace seamwright::search {

/// Where the cuts of a box start may lie.
struct BoxFrame {
  std::array<Vec3, 3> axes;   ///< perpendicular, unit
  double hope_ratio = 1.06;   ///< how much too large, as the grid sees it, may still fit
  double shake_ratio = 0.02;  ///< how much prices are shaken by chance
  double most_boxes = 1e6;    ///< of the table; the grid is made as coarse as that wants
};

/// The best of all plans whose cuts are parallel to the frame's planes and lie on a grid, six cells
/// to the shortest side of the room, each cut going through one half only: exact, by dynamic
/// programming over all boxes of cells. Fits are hoped for by a few ways to turn a piece; the
/// pieces of the best plan are then cut out and judged by the rules, small misfits forgiven, and
/// the table is mended, until all pieces of the best plan are known (or a hundred rounds). Pieces
/// may misfit a little. Null when the table could not hold two cells to the room's side.
/// O(boxes · cuts): 0.05 to 0.1 s for up to a million boxes of 2,000 faces (box_start_perf).
PlanPtr box_start(std::shared_ptr<const ClipBody> body, const BoxFrame& frame, PlanPricer& pricer,
                  Random& random);

}  // namespace seamwright::search
