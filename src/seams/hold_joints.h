#pragma once

#include "seams/exact_judge.h"

namespace seamwright::search {

/// A plan with its joints that nothing would hold, and what they cost.
struct HeldPlan {
  PlannedSeams plan;
  std::vector<LooseJoint> loose;
  double loose_h = 0;
  double hours() const { return plan.maker_h + loose_h; }
};

/// Asks PieceJudge::loose_joints once; none where it is empty or such joints cost nothing.
HeldPlan with_loose_joints(PlannedSeams planned, const SearchSetting& setting,
                           const PieceJudge& judge);

/// Moves the seams of joints that neither keys nor straps would hold, one after another: tilted
/// about the joint's middle by up to 42° or set square to the skin there, and shifted by up to
/// 35 mm. A move is kept when the plan and its loose joints become cheaper together, by the exact
/// judge, in no more pieces; locked seams stay. After two joints that can't be helped no more are
/// tried: the walls are too thin for keys wherever they are cut. Errors: "cancelled". Cost: for
/// each loose joint some 200 replays of what lies under its seam, and up to 8 exact judgements with
/// as many askings after that one seam.
Result<HeldPlan> hold_joints(HeldPlan held, const FullPart& full, const SearchSetting& setting,
                             const PlanOptions& options, const PieceJudge& judge, const Run& run);

}  // namespace seamwright::search
