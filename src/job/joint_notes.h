#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/job/job.h"
#include "seamwright/job/marks.h"

namespace seamwright::job_detail {

/// Fills `strengths`, one a joint, and warns of seams that bear less than their weight asks.
void judge_strength(HandOff& hand_off);

/// The pieces that are printed already, with the keys they have.
std::vector<KeptPiece> kept_pieces(const std::vector<DoneChoice>& dones,
                                   const EarlierMarks& earlier, std::span<const std::string> marks);

/// Warns of pieces that are printed already and would come out otherwise now: a neighbour that
/// changed may have moved their keys or marks.
void tell_changed_done(HandOff& hand_off, const std::vector<DoneChoice>& dones,
                       const EarlierMarks& earlier);

}  // namespace seamwright::job_detail
