#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"
#include "seamwright/query/sight.h"

namespace seamwright::job_detail {

/// What leading wires anew needs beside the plan.
struct SquareWires {
  const Solid& unwired;  ///< the part as loaded
  const Job& job;
  const SightOptions& sight;
  const PieceJudge& judge;
};

/// Leads the wires anew when some meet a planned seam at less than 45°: straight through it, where
/// the part has such a way. The plan stays; its pieces are cut and judged anew. Where one would no
/// longer fit its printer, or booleans refuse, the wires stay as they were, with a warning.
/// `weights`, one a face or none, go with `sight` onto the part's new faces; `asked` gets the new
/// ways. Errors: "cancelled".
Status lead_squarely(HandOff& out, const SquareWires& wires, std::vector<double>& weights,
                     PlanOptions& asked, const Run& run);

}  // namespace seamwright::job_detail
