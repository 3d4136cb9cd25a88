#include "job/joint_notes.h"

#include <fmt/format.h>

namespace seamwright::job_detail {
namespace {

std::string weakness(const HandOff& hand_off, const Seam& seam, const JointStrength& strength) {
  return fmt::format(
      "seam {} is weak: under {:.0f} times the {:.0f} g on its lighter side, {:.0f} mm off, its "
      "joints "
      "see {:.1f} MPa at the worst fibre, and {:.1f} MPa is allowed for the glue. Lay a spar or "
      "wider "
      "straps across it, glue a strip on by hand, or move the seam. An estimate, not a proof",
      seam_name(seam.id), hand_off.joinery.handling_ratio, strength.held_mass_g, strength.lever_mm,
      strength.stress_mpa, hand_off.joinery.glue_mpa);
}

}  // namespace

void judge_strength(HandOff& hand_off) {
  std::vector<const CutPiece*> pieces;
  for (const FinishedPiece& piece : hand_off.pieces) pieces.push_back(&piece.planned.cut);
  StrengthRules rules;
  rules.glue_mpa = hand_off.joinery.glue_mpa;
  rules.handling_ratio = hand_off.joinery.handling_ratio;
  rules.density_g_per_cm3 = hand_off.material.density_g_per_cm3;
  hand_off.strengths =
      joint_strengths(hand_off.seams.plan, pieces, hand_off.joints, hand_off.loose_parts, rules);
  for (const Seam& seam : hand_off.seams.plan.seams) {
    for (std::size_t j = 0; j < hand_off.joints.size(); ++j) {
      if (hand_off.joints[j].face.seam != seam.id) continue;
      const JointStrength& strength = hand_off.strengths[j];
      if (strength.safety_ratio > 0 && strength.safety_ratio < 1)
        hand_off.warnings.push_back({"seam-weak", weakness(hand_off, seam, strength)});
      break;  // the joints of a seam bear together
    }
  }
}

}  // namespace seamwright::job_detail
