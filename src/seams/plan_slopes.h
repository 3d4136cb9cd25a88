#pragma once

#include <map>
#include <span>

#include "seams/hinge.h"

namespace seamwright::search {

/// How a standing rule's spare changes with the moves of seams, per mm: backward and forward apart,
/// as a piece may lose its footing all at once. Of 0.1 to spare and more nothing is told.
struct RuleSlope {
  double spare = 0;
  std::map<std::size_t, std::array<double, 2>> by_move;
};

/// Slopes of a plan; its moves are numbered three a hinge.
struct PlanSlopes {
  /// Of seams and of pieces that fit, per mm of each move, backward and forward.
  std::vector<std::array<double, 2>> hours;
  std::vector<RuleSlope> rules;  ///< of standing pieces, where any move changes them
};

/// By differences over a quarter of a millimetre either way. Costs six looks at what lies under
/// each seam.
PlanSlopes plan_slopes(const PlanNode& plan, std::span<const Hinge> hinges, PlanPricer& pricer);

}  // namespace seamwright::search
