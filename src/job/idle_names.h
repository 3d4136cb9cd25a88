#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"

namespace seamwright::job_detail {

/// Warns of what the job names and this plan does not have: pieces of `[[stand]]` and `same_spool`,
/// seams of `[travel]`, joints of `[[joint]]`. Each with its line and what there is instead; the
/// plan is good all the same. Requires pieces and joints.
void tell_idle_names(HandOff& hand_off, const Job& job);

}  // namespace seamwright::job_detail
