#pragma once

#include "seamwright/job/job.h"

namespace seamwright::job_detail {

/// The joinery with the seams that come apart: what holds them goes before the job's own
/// `[[joint]]` choices, so that those still lie over it.
Joinery with_travel_keys(Joinery joinery, const TravelChoice& travel);

/// Joints on those seams get no glue.
void part_travel_joints(HandOff& out);

}  // namespace seamwright::job_detail
