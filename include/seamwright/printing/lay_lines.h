#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"
#include "seamwright/printing/line_kind.h"
#include "seamwright/profile/print_settings.h"

namespace seamwright {

/// One unbroken line of plastic: an open path, or a loop whose first point is not repeated. Its
/// volume is length × `width_mm` × the layer's height.
struct LaidLine {
  LineKind kind = LineKind::outer_wall;
  bool is_loop = false;
  float width_mm = 0;
  std::uint32_t point_begin = 0, point_end = 0;  ///< in its layer's `points`
};

/// One layer's lines in the order and direction in which they are printed.
struct LaidLayer {
  double bottom_mm = 0, height_mm = 0;
  std::vector<LaidLine> lines;
  std::vector<Vec2> points;  ///< bed coordinates

  std::span<const Vec2> points_of(const LaidLine& line) const {
    return std::span(points).subspan(line.point_begin, line.point_end - line.point_begin);
  }
};

/// Every line of a piece: what a change of speeds, accelerations or limits leaves as it is.
struct LaidPiece {
  std::vector<LaidLayer> layers;
  std::size_t open_chain_count = 0;
};

/// A round pad, one layer thick, that holds a corner of the foot down.
struct CornerPad {
  Vec2 at_mm;  ///< bed coordinates
  double diameter_mm = 20;
};

/// Slices the solid in bed coordinates and lays walls (single lines where two would not fit), lines
/// in the gaps left between them and side by side in insides too narrow for a hatch, skins cut
/// against the neighbour layers' insides, bridges where there is no support, sparse fill linked
/// along the wall, support columns and brim; around the first
/// layer, as brim lines, what `pads` reach beyond the piece and its brim; orders each layer from
/// where the last one ended. Requires valid settings (estimate_print checks them). Guarantees: the
/// same bits on any thread count. Errors: "below-bed", "inside-out", "cancelled". Cost: 1 to 3 ms a
/// layer.
Result<LaidPiece> lay_lines(const Solid& solid, const Transform& bed_from_part,
                            const PrintSettings& print, const Run& run = {},
                            std::span<const CornerPad> pads = {});

}  // namespace seamwright
