#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"

namespace seamwright::job_detail {

/// Fills `days_input` and `days`. Hours in which no plan exists are a warning, not an error: the
/// pieces are good all the same. Errors: "cancelled", and what is wrong with `[days]` itself.
Status plan_the_days(HandOff& out, const Job& job, const Run& run);

}  // namespace seamwright::job_detail
