#pragma once

#include <span>

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"
#include "seamwright/job/marks.h"

namespace seamwright::job_detail {

/// Joints in the order of gluing: the cut order reversed, deepest seam first. `seams` has the seam
/// of each joint.
std::vector<std::size_t> assembly_order(const SeamPlan& plan, std::span<const SeamId> seams);

/// The earlier marks that no piece carries any more.
std::vector<std::string> retired_marks(const EarlierMarks& earlier,
                                       const std::vector<std::string>& marks);

/// Adds what the maker must know: every assumed setting with its source, warnings of the run as a
/// whole.
HandOff add_notes(HandOff hand_off, const Job& job, const SightOptions& sight);

}  // namespace seamwright::job_detail
