#pragma once

#include "seamwright/handoff/hand_off.h"

namespace seamwright::job_detail {

/// Lays pads under the corners that the material lifts, when the job asks for them
/// (`[print] corner_pad_mm`), and moves each such piece off its room's edge as far as they need and
/// the room allows. A pad that would leave the room is left out and told. Needs the pieces at their
/// places on the bed. O(n log n) a piece.
void place_pads(HandOff& out);

/// Says which corners may lift where no pads were asked for.
void offer_pads(HandOff& out, const FinishedPiece& piece);

}  // namespace seamwright::job_detail
