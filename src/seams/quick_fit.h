#pragma once

#include <limits>
#include <optional>
#include <vector>

#include "seams/piece_shape.h"
#include "seamwright/pose/standing.h"

namespace seamwright::search {

/// What a piece is judged by.
struct FitRules {
  std::vector<Vec3> rooms_mm;  ///< usable room of each printer
  Poses poses = Poses::standing;
  StandingRules standing;
  bool measures_support = false;
  double misfit_weight = 1;  ///< penalties are multiplied by it: a search grows stricter as it goes
};

/// The same with rooms smaller by `spare_mm` a side and every standing rule tighter by `share`:
/// what holds by these on a stand-in holds by the old ones on a finer mesh.
FitRules stricter(FitRules rules, double spare_mm, double share);

/// How well a piece fits its best pose. `penalty_h` is 0 for a piece that fits; otherwise at least
/// 1 h and growing with what sticks out and with what the rules miss, so that the search can climb.
struct FitGrade {
  double penalty_h = std::numeric_limits<double>::infinity();
  double support_mm2 = 0;
  Foot foot = Foot::supports;
  Vec3 down;  ///< which way of the piece faces the bed
  bool fits() const { return penalty_h == 0; }
};

/// The best pose of a piece by the standing rules (joint faces, flat sides, then hull facets with
/// supports) or tilted. `hint` is the down of the piece before it changed a little: where it was
/// tilted, that is tried before others. A penalty of `at_most_h` or more is of no use to the
/// caller: it is told as infinite, and found in a fraction of the time. O(n) a foot; hull facets
/// only when nothing else fits.
FitGrade grade_fit(const PieceShape& piece, const FitRules& rules, const Vec3* hint = nullptr,
                   double at_most_h = std::numeric_limits<double>::infinity());

}  // namespace seamwright::search
