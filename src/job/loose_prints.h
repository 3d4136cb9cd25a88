#pragma once

#include "seamwright/handoff/hand_off.h"

namespace seamwright::job_detail {

/// Lays and times every loose part as it is printed: solid, with a brim of 4 mm at least, on the
/// printer of the piece above its joint; makes the troughs' lids and times them alike, on the first
/// printer. Fills loose_prints, lids and lid_prints. Errors: those of printing.
Status estimate_loose_parts(HandOff& out, const Run& run);

}  // namespace seamwright::job_detail
