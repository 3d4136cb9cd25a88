#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"

namespace seamwright::job_detail {

/// The spars' rods where they go through seams.
std::vector<WearRod> rods_through(const HandOff& out, const Job& job);

/// Fills `wear`: masses and middles always, loads on seams when the job has mounts.
void judge_wear(HandOff& out, const Job& job, Vec3 up);

/// Warns of seams that bear more than they may, with what helps, and of a heavy load on the wearer.
/// Requires `wear`.
void warn_of_wear(HandOff& out);

/// Fills `bags` when the job has bags. Errors: "cancelled".
Status plan_travel(HandOff& out, const Job& job, const Run& run);

}  // namespace seamwright::job_detail
