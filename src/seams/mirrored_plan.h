#pragma once

#include "seamwright/seams/plan_seams.h"

namespace seamwright::search {

/// The best plan found that mirrors itself about `options.mirror`: a seam in the mirror plane, or a
/// middle slab between two seams that only seams square to the mirror plane cut; one side searched,
/// the other its image. Slabs of several widths are tried on a coarse stand-in, the best two on the
/// part. A part that fits whole has the empty plan. Requires a mirror along an axis, no locked
/// seams, no done pieces. Errors: "no-plan" (both sides in turn were searched, and a piece of the
/// other side did not fit), "cancelled". Cost: three to
/// five times that of plan_seams.
Result<SeamPlan> find_mirrored_plan(const Solid& part, const SkinView& skin,
                                    const PlanOptions& options, const PieceJudge& judge,
                                    const Run& run);

}  // namespace seamwright::search
