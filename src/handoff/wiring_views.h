#pragma once

#include "seamwright/handoff/views.h"

namespace seamwright {

/// Whether there is anything led or set in to show.
inline bool has_wiring(const HandOff& hand_off) {
  return !hand_off.channels.empty() || !hand_off.pockets.empty();
}

/// The part put together, seen from the show side and from behind (the hidden side), with where
/// channels and pockets lie in the pictures. Errors: "cancelled".
Result<WiringPictures> draw_wiring(const HandOff& hand_off, PictureSize size, const Run& run);

}  // namespace seamwright
