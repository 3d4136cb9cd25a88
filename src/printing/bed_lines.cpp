#include "printing/bed_lines.h"

#include <cmath>

#include "printing/walls.h"
#include "seamwright/core/circle.h"

namespace seamwright {
namespace {

using flat::Paths;

/// The outline without its holes.
Paths outer_loops(const Paths& outline) {
  Paths outer;
  for (const flat::Path& path : outline) {
    if (ClipperLib::Orientation(path)) outer.push_back(path);
  }
  return flat::united(outer);
}

int loop_count(const PrintSettings& print) {
  return static_cast<int>(std::lround(print.brim_mm / print.line_width_mm));
}

void lay_brim(const Paths& outer, const PrintSettings& print, std::vector<Strand>& strands) {
  const double w = print.line_width_mm;
  for (int k = loop_count(print); k-- > 0;) {
    for (const flat::Path& loop : flat::grown(outer, (k + 0.5) * w)) {
      if (!ClipperLib::Orientation(loop)) continue;
      strands.push_back({LineKind::brim, true, w, flat::to_mm(loop), 0});
    }
  }
}

void lay_pads(const Paths& outer, const PrintSettings& print, std::span<const CornerPad> pads,
              std::vector<Strand>& strands) {
  Paths discs;
  for (const CornerPad& pad : pads)
    discs.push_back(flat::from_mm(inscribed_circle(pad.at_mm, pad.diameter_mm / 2)));
  const double w = print.line_width_mm;
  const Paths taken = flat::grown(outer, loop_count(print) * w);
  const WallPlan to_the_middle{
      w, 10000, LineKind::brim, LineKind::brim, LineKind::brim, LineKind::brim};
  for (const Paths& part : flat::islands_minus(flat::united(discs), taken))
    lay_walls(part, to_the_middle, strands);
}

}  // namespace

void lay_bed_lines(const Paths& outline, const PrintSettings& print,
                   std::span<const CornerPad> pads, std::vector<Strand>& strands) {
  if (print.brim_mm <= 0 && pads.empty()) return;
  const Paths outer = outer_loops(outline);
  lay_brim(outer, print, strands);
  if (!pads.empty()) lay_pads(outer, print, pads, strands);
}

}  // namespace seamwright
