#pragma once

#include "seamwright/handoff/views.h"

namespace seamwright {

/// One PNG a packed bag: its edges as lines, what is in it in the pieces' colours.
std::vector<std::string> bag_views(const HandOff& hand_off, PictureSize size, const Run& run);

}  // namespace seamwright
