#pragma once

#include "printing/flat.h"
#include "printing/strand.h"

namespace seamwright {

/// The middle lines of a narrow part (an outer loop and its holes): half of each contour, moved in
/// by half the part's width, the ends taken off. Half of the outer **and** half of the hole's
/// contour make one way round a ring. Their width makes up the part's area.
std::vector<Strand> middle_lines(const flat::Paths& narrow, LineKind kind);

}  // namespace seamwright
