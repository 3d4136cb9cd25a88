#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"
#include "seamwright/seams/plan_seams.h"

namespace seamwright::job_detail {

/// For the three seams that bear the most over what they may: the least move along their normal, up
/// to 60 mm, after which they hold and no other seam bears too much instead; else the one that
/// relieves them most, by a tenth at least. Every move is cut, weighed and loaded anew (by the mean
/// density of the prints, without keys), and offered only when all pieces fit the printers and keep
/// the maker's wishes. Locked seams and those of done pieces stay. Fills SeamLoad::moved.
/// `weights`, `asked` and `judge` as for plan_seams. Errors: "cancelled". Cost: nothing when all
/// holds; else twelve cuts of the plan for each seam.
Status move_overloaded_seams(HandOff& out, const Job& job, const std::vector<double>& weights,
                             const PlanOptions& asked, const PieceJudge& judge, Vec3 up,
                             const Run& run);

}  // namespace seamwright::job_detail
