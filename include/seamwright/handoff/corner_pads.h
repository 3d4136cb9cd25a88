#pragma once

#include <string>

#include "seamwright/handoff/hand_off.h"

namespace seamwright {

/// "pads/A1.stl": where the pads of a piece lie in the folder.
std::string pads_file(const FinishedPiece& piece);

/// The pads as one body of round discs on the bed, as thick as the first layer; bed coordinates.
/// Each disc is an inscribed polygon (sagitta 0.005 mm). Requires at least one pad. O(n).
Solid pads_solid(std::span<const CornerPad> pads, double thickness_mm);

/// The same in the coordinates of the piece's own file, so that both are loaded together; not
/// scaled for shrinkage. O(n).
Solid pads_in_file(const FinishedPiece& piece, const Material& material, double thickness_mm);

}  // namespace seamwright
