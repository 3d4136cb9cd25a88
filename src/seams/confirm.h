#pragma once

#include <optional>
#include <span>

#include "seams/exact_judge.h"

namespace seamwright::search {

/// A plan found on a stand-in, taken to the part itself: cut anew, every piece judged by the exact
/// poses, moved a little where one misfits, cut once more where that does not help. A plan of which
/// a piece fits no printer or a seam goes through a forbidden zone is never returned: the error is
/// "no-plan" with the piece's size or the zone's name, or "cancelled".
Result<PlannedSeams> confirm(const PlanNode& found, const FullPart& full,
                             const SearchSetting& setting, const PlanOptions& options,
                             const PieceJudge& judge, std::uint64_t stream, const Run& run);

}  // namespace seamwright::search
