#pragma once

#include "printing/flat.h"
#include "printing/strand.h"

namespace seamwright {

/// Lays the parts of a skin that hang over nothing, in the direction in which most lines have both
/// ends on what is below, then in which they are shortest; gives back the rest. Overhangs narrower
/// than two lines are left to the rest: the lines beside them carry them. `below` is the part's
/// outline in the layer below.
flat::Paths lay_bridges(const flat::Paths& skin, const flat::Paths& below, double line_width_mm,
                        std::vector<Strand>& strands);

}  // namespace seamwright
