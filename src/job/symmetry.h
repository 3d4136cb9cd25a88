#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"

namespace seamwright::job_detail {

/// The plane about which the plan mirrors itself: square to the axis, through the middle of the
/// part's box; nothing without a wish.
std::optional<Plane> mirror_plane(const Solid& part, Symmetry wish);

/// Errors: "job-bad-value" where symmetry is asked together with what fixes seams on one side, or
/// with other plans, which are not mirrored.
Status check_symmetry(const Job& job);

/// Warns when the part is not its own mirror image to 1 mm, by 2,000 of its corners: seams mirror
/// each other all the same, and pieces differ. O(n log n).
void tell_symmetry(HandOff& out, Symmetry wish);

}  // namespace seamwright::job_detail
