#pragma once

#include <optional>
#include <span>

#include "seams/plan_search.h"

namespace seamwright::search {

/// What confirming needs of the part itself.
struct FullPart {
  std::shared_ptr<const Solid> solid;
  SearchMesh mesh;
};

/// A plan found on a stand-in, taken to the part itself: cut anew, every piece judged by the exact
/// poses, moved a little where one misfits, cut once more where that does not help. A plan of which
/// a piece fits no printer or a seam goes through a forbidden zone is never returned: the error is
/// "no-plan" with the piece's size or the zone's name, or "cancelled".
Result<PlannedSeams> confirm(const PlanNode& found, const FullPart& full,
                             const SearchSetting& setting, const PlanOptions& options,
                             const PieceJudge& judge, std::uint64_t stream, const Run& run);

/// The maker's own plan, judged as it is. Errors: "no-plan", as confirm's; "cancelled".
Result<PlannedSeams> judge_given(const SeamPlan& plan, const FullPart& full,
                                 const SearchSetting& setting, const PlanOptions& options,
                                 const PieceJudge& judge, const Run& run);

/// The best exact pose of a piece over the printers: standing before tilted, the better foot first,
/// then less support; nothing when it fits none.
std::optional<std::pair<Pose, std::size_t>> exact_pose(const Solid& piece,
                                                       const PlanOptions& options);

/// Hours of one piece: handling, support, and what failed and overlong prints of it cost.
double piece_h(const Pose& pose, double print_s, const PriceRules& prices);

}  // namespace seamwright::search
