#pragma once

#include "seams/exact_judge.h"

namespace seamwright::search {

/// A plan with what its joints cost that nothing would hold.
struct HeldPlan {
  PlannedSeams plan;
  double loose_h = 0;
  double hours() const { return plan.maker_h + loose_h; }
};

/// Moves the seams of joints that neither keys nor straps would hold, one after another: tilted
/// about the joint's middle by up to 45° or set square to the skin there, and shifted by up to
/// 35 mm. A move is kept when the plan and its loose joints become cheaper together, by the exact
/// judge; locked seams stay. Errors: "cancelled". Cost: one asking of PieceJudge::loose_joints
/// where all hold, nothing where none is asked for; else for each loose joint some 400 replays of
/// what lies under its seam, and up to 20 exact judgements and askings.
Result<HeldPlan> hold_joints(PlannedSeams planned, const FullPart& full,
                             const SearchSetting& setting, const PlanOptions& options,
                             const PieceJudge& judge, const Run& run);

}  // namespace seamwright::search
