#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"
#include "seamwright/job/marks.h"

namespace seamwright::job_detail {

/// Poses every planned piece in the direction that costs the least maker hours: candidates ranked
/// by the quick estimate, the best three laid and timed in full (those that could still win), the
/// maker's own choices ([[stand]]) taken as they are, or told where no printer holds the piece so.
/// Fills each PlannedPiece's pose and printer, and `out.directions`. Quick effort trusts the quick
/// estimate. Errors: "cancelled".
Status choose_directions(HandOff& out, const Job& job, const EarlierMarks& earlier, const Run& run);

}  // namespace seamwright::job_detail
