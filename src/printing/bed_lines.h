#pragma once

#include <span>
#include <vector>

#include "printing/flat.h"
#include "printing/strand.h"
#include "seamwright/printing/lay_lines.h"
#include "seamwright/profile/print_settings.h"

namespace seamwright {

/// What lies around the first layer only: the brim's loops, outermost first, and the pads' parts
/// beyond them, filled with loops.
void lay_bed_lines(const flat::Paths& outline, const PrintSettings& print,
                   std::span<const CornerPad> pads, std::vector<Strand>& strands);

}  // namespace seamwright
