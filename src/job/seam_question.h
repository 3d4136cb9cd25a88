#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"
#include "seamwright/job/marks.h"
#include "seamwright/seams/plan_seams.h"

namespace seamwright::job_detail {

/// What the job asks of the seams: printers less what plastic shrinks, weights, wishes, and the
/// channels to cross. Requires that done pieces are in `earlier`.
PlanOptions plan_options(const Job& job, const HandOff& out, const EarlierMarks& earlier);

/// Each piece by the printer it would stand on; `job` and `printers` must outlive the judge.
PieceJudge piece_judge(const Job& job, const std::vector<Printer>& printers);

}  // namespace seamwright::job_detail
