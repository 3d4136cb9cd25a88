#pragma once

#include "seamwright/seams/plan_seams.h"

namespace seamwright::search {

/// The best plan found that mirrors itself about `options.mirror`, with a seam in the mirror plane:
/// one side searched, the other its image. A part that fits whole has the empty plan. Requires a
/// mirror along an axis, no locked seams, no done pieces. Errors: "no-plan" (both sides in turn
/// were searched, and a piece of the other side did not fit), "cancelled". Cost: at most twice that
/// of plan_seams.
Result<PlannedSeams> find_mirrored_plan(const Solid& part, const SkinView& skin,
                                        const PlanOptions& options, const PieceJudge& judge,
                                        const Run& run);

}  // namespace seamwright::search
