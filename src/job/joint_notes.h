#pragma once

#include "seamwright/handoff/hand_off.h"

namespace seamwright::job_detail {

/// Fills `strengths`, one a joint, and warns of seams that bear less than their weight asks.
void judge_strength(HandOff& hand_off);

}  // namespace seamwright::job_detail
