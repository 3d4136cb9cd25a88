#pragma once

#include "printing/flat.h"
#include "printing/strand.h"

namespace seamwright {

/// The middle lines of a narrow part (an outer loop and its holes): half of each contour, moved in
/// by half the part's width, the ends taken off. Half of the outer **and** half of the hole's
/// contour make one way round a ring. Their width makes up the part's area.
std::vector<Strand> middle_lines(const flat::Paths& narrow, LineKind kind);

/// The same with as many lines side by side as the part's mean width has room for.
std::vector<Strand> side_by_side_lines(const flat::Paths& narrow, LineKind kind,
                                       double line_width_mm);

/// Mean width of a long narrow part: an area of length × width has the edge 2 (length + width).
double mean_width_mm(const flat::Paths& narrow);

}  // namespace seamwright
