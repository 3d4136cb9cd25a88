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
/// pieces of the best plan are then cut out and judged truly and the table is mended, until the
/// best plan's pieces are all known (or `kMostRounds`). Null when the body is so much larger than
/// the room that the table could not tell the room's size in two cells. O(boxes · cuts), 0.1 to 0.3
/// s for a million boxes.
PlanPtr box_start(std::shared_ptr<const ClipBody> body, const BoxFrame& frame, PlanPricer& pricer,
                  Random& random);

}  // namespace seamwright::search
