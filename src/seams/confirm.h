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
/// a piece fits no printer is never returned: the error is "no-plan" with the piece's size, or
/// "cancelled".
Result<PlannedSeams> confirm(const PlanNode& found, const FullPart& full,
                             const SearchSetting& setting, const PlanOptions& options,
                             const PieceJudge& judge, std::uint64_t stream, const Run& run);

/// The best exact pose of a piece over the printers: standing before tilted, the better foot first,
/// then less support; nothing when it fits none.
std::optional<std::pair<Pose, std::size_t>> exact_pose(const Solid& piece,
                                                       const PlanOptions& options);

/// Hours of one piece: handling, support, and what failed prints of it cost on average.
double piece_h(const Solid& piece, const Pose& pose, std::size_t printer, const CostWeights& cost,
               const PieceJudge& judge);

}  // namespace seamwright::search
