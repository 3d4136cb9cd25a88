#pragma once

#include <span>
#include <vector>

#include "seamwright/core/region.h"
#include "seamwright/cut/cut_plan.h"

namespace seamwright {

/// A connected region of a seam where exactly two pieces meet: one cell of the seam's arrangement.
struct JointFace {
  SeamId seam{};
  PieceId above{}, below{};  ///< the piece on the side of the normal, and the other
  Region2 region;            ///< in PlaneFrame(plane)'s (u, v), snapped to 1e-6 mm
  double area_mm2 = 0;
};

/// The cells of every seam's arrangement: overlay of the caps that the pieces above it have with
/// the caps of those below. Cells under 1e-3 mm² are left out. Guarantees: cells of one seam do not
/// overlap, and cover the caps of both sides to 1e-6 of their area (or 0.01 mm²). Ordered by seam,
/// then pieces, then position. O(c log c), c the caps' edges.
Result<std::vector<JointFace>> find_joint_faces(const SeamPlan& plan,
                                                std::span<const CutPiece> pieces);

/// The regions of one solid's surface that have the given cap origin, as polygons of its own
/// boundary edges in PlaneFrame(plane): counter-clockwise seen against the plane's normal whichever
/// side the solid lies on. O(faces).
std::vector<Region2> cap_regions(const Solid& solid, SeamId seam, const Plane& plane);

}  // namespace seamwright
