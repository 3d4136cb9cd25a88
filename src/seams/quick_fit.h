#pragma once

#include <array>
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
  Angle legs_from = StandingRules{}.support_from;  ///< supports under flatter faces bear a piece
  bool measures_support = false;
  double misfit_weight = 1;  ///< penalties are multiplied by it: a search grows stricter as it goes
  /// Where a pose of before is known and means anything to the caller, no other is looked for.
  bool stays_as_before = false;
  bool counts_misfits = true;  ///< an hour for each, beside what it is too large by
};

/// What rules are taken stricter by on a stand-in, so that what holds there by the stricter rules
/// holds by the old ones on a finer mesh.
struct Slack {
  double spare_mm = 0;  ///< off every side of the rooms
  double share = 0;     ///< of every standing rule; below 0 they are milder
  double legs_deg = 0;  ///< no faith in supports under faces that only just need them
};
FitRules stricter(FitRules rules, const Slack& slack);

/// The rules by which what sticks out of a piece can be passed on to the next, until it comes to
/// one with room to spare: it weighs much, but how many pieces it sticks out of does not.
FitRules passing_on(FitRules rules);

/// How well a piece fits its best pose. `penalty_h` is 0 for a piece that fits; otherwise at least
/// 1 h and growing with what sticks out and with what the rules miss, so that the search can climb.
struct FitGrade {
  double penalty_h = std::numeric_limits<double>::infinity();
  double support_mm2 = 0;
  Foot foot = Foot::supports;
  Vec3 down;   ///< which way of the piece faces the bed
  Vec3 along;  ///< and which lies along the room's x axis
  bool fits() const { return penalty_h == 0; }
};

/// How a piece lay before it changed a little.
struct EarlierPose {
  Foot foot = Foot::supports;
  Vec3 down;
  Vec3 along{};  ///< as turned; none when not known
};

/// The best pose of a piece by the standing rules (joint faces, flat sides, then hull facets with
/// supports) or tilted. How it lay before, if that is known, is tried first: where supports cost
/// nothing one fit is as good as another. What is larger than any room whichever way it lies is
/// graded by its farthest points alone. A penalty of `at_most_h` or more is of no use to the
/// caller: it is told as infinite, and found in a fraction of the time. Of polytopes that only
/// just fit, 87 % on supports and 93 % tilted are seen to (quick_fit_test). O(n) a foot; hull
/// facets only when nothing else fits, and more of them, or more tilts, only when it all but does.
FitGrade grade_fit(const PieceShape& piece, const FitRules& rules,
                   const EarlierPose* earlier = nullptr,
                   double at_most_h = std::numeric_limits<double>::infinity());

/// By what shares tip, contact and slenderness of a standing piece are better than its rules ask
/// for; below 0 where they are not.
using RuleSpares = std::array<double, 3>;
/// Of a piece as it lies; all -1 where it has no such foot. O(n).
RuleSpares rule_spares(const PieceShape& piece, const FitRules& rules, const EarlierPose& pose);

}  // namespace seamwright::search
