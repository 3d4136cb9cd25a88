#pragma once

#include <optional>

#include "pose/footing.h"
#include "seamwright/pose/pose_probe.h"

namespace seamwright::pose_detail {

/// Median length of rays from the middle of 24 faces, spread evenly over the area, straight inward
/// to the other side: how thick the solid is in most places. O(faces).
double median_thickness_mm(const SolidFacts& facts);

/// The standing rules as they hold for one solid.
class StandingJudge {
 public:
  StandingJudge(const SolidFacts& facts, const StandingRules& rules)
      : facts_(facts), rules_(rules) {}

  /// How far a footing is from the rules; columns of support count as contact for a foot that rests
  /// on them. Whether the solid is a thin sheet is measured only when the answer hangs on it;
  /// a misfit that remains either way is graded by a guess (twice the volume over the surface).
  Misfit misfit(const Footing& footing, Foot foot, double excess_mm);

 private:
  Misfit graded(const Footing& footing, Foot foot, double excess_mm, bool as_sheet) const;
  bool is_sheet();

  const SolidFacts& facts_;
  StandingRules rules_;
  std::optional<bool> is_sheet_;
};

}  // namespace seamwright::pose_detail
