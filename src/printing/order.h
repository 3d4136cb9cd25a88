#pragma once

#include <optional>

#include "printing/strand.h"
#include "seamwright/printing/lay_lines.h"

namespace seamwright {

/// Puts a layer's strands in printing order and direction: brim, support, then island by island
/// (the nearest first) walls, gaps, skins, sparse fill, always the nearest line next, loops begun
/// at their nearest point. `at` is where the last layer ended and becomes where this one ends.
void order_strands(std::vector<Strand>& strands, std::optional<Vec2>& at, LaidLayer& layer);

}  // namespace seamwright
