#include "seams/quick_fit.h"

#include "seams/fit_grader.h"

namespace seamwright::search {

FitRules stricter(FitRules rules, const Slack& slack) {
  const auto& [spare_mm, share, legs_deg] = slack;
  for (Vec3& room : rules.rooms_mm) room = room - Vec3{spare_mm, spare_mm, spare_mm};
  StandingRules& standing = rules.standing;
  standing.least_tip = Angle::radians((1 + share) * standing.least_tip.radians());
  standing.sheet_tip = Angle::radians((1 + share) * standing.sheet_tip.radians());
  standing.least_contact_mm2 *= 1 + share;
  rules.legs_from = Angle::degrees(rules.legs_from.degrees() - legs_deg);
  standing.most_slender_ratio /= 1 + share;
  standing.sheet_slender_ratio /= 1 + share;
  return rules;
}

FitRules passing_on(FitRules rules) {
  constexpr double kMisfitWeight = 20;
  rules.misfit_weight = kMisfitWeight;
  rules.counts_misfits = false;
  return rules;
}

FitGrade grade_fit(const PieceShape& piece, const FitRules& rules, const EarlierPose* earlier,
                   double at_most_h) {
  return FitGrader(piece, rules, at_most_h).run(earlier);
}

RuleSpares rule_spares(const PieceShape& piece, const FitRules& rules, const EarlierPose& pose) {
  return FitGrader(piece, rules, std::numeric_limits<double>::infinity()).spares(pose);
}

}  // namespace seamwright::search
