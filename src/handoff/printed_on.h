#pragma once

#include "seamwright/handoff/hand_off.h"

namespace seamwright {

/// Where a piece is printed, and what it takes there.
struct PrintedOn {
  std::size_t printer = 0;
  double print_s = 0;
  double model_print_s = 0;  ///< before the factor of that printer's records
};

/// The calendar's printer; without a calendar, or when the piece is printed already, the one it was
/// planned for. Pose, file and estimate are for the planned one: where the calendar's is another
/// machine, the time is scaled as the calendar scales it. O(entries · pieces).
PrintedOn printed_on(const HandOff& hand_off, const FinishedPiece& piece);

}  // namespace seamwright
