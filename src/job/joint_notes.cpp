#include "job/joint_notes.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "seamwright/query/mass_properties.h"

namespace seamwright::job_detail {
namespace {

std::string weakness(const HandOff& hand_off, const Seam& seam, const JointStrength& strength) {
  if (strength.screw_pull_n > 0)
    return fmt::format(
        "seam {} is weak: under {:.0f} times the {:.0f} g on its lighter side, {:.0f} mm off, its "
        "worst screw is pulled by {:.0f} N, and {:.0f} N is allowed. Take a larger thread "
        "([joints] insert), lay a spar across it, or move the seam. An estimate, not a proof",
        seam_name(seam.id), hand_off.joinery.handling_ratio, strength.held_mass_g,
        strength.lever_mm, strength.screw_pull_n, strength.screw_allowed_n);
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
  rules.insert_mpa = hand_off.joinery.insert_mpa;
  rules.screw = insert_size(hand_off.joinery.insert);
  rules.has_inserts = hand_off.joinery.insert != InsertThread::none;
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

namespace {

/// Whether a piece's keys are where they were, to 0.01 mm, each once.
bool has_keys_at(const HandOff& hand_off, std::ptrdiff_t piece, std::vector<KeptKey> places) {
  constexpr double kNear_mm = 0.01;
  for (const Joint& joint : hand_off.joints) {
    const auto id = to_id<PieceId>(static_cast<std::size_t>(piece));
    if (joint.face.above != id && joint.face.below != id) continue;
    for (const Key& key : joint.keys) {
      const auto same = std::find_if(places.begin(), places.end(), [&](const KeptKey& kept) {
        return norm(kept.at - key.at) <= kNear_mm;
      });
      if (same == places.end()) return false;
      places.erase(same);
    }
  }
  return places.empty();
}

}  // namespace

std::vector<KeptPiece> kept_pieces(const std::vector<DoneChoice>& dones,
                                   const EarlierMarks& earlier,
                                   std::span<const std::string> marks) {
  std::vector<KeptPiece> kept;
  for (const DoneChoice& done : dones) {
    const auto at = std::find(marks.begin(), marks.end(), done.piece);
    if (at == marks.end()) continue;
    kept.push_back({to_id<PieceId>(static_cast<std::size_t>(at - marks.begin())),
                    find_piece(earlier, done.piece)->keys});
  }
  return kept;
}

void tell_changed_done(HandOff& hand_off, const std::vector<DoneChoice>& dones,
                       const EarlierMarks& earlier) {
  constexpr double kSame = 1e-6;
  for (const DoneChoice& done : dones) {
    const EarlierPiece* before = find_piece(earlier, done.piece);
    const auto now = std::find_if(hand_off.pieces.begin(), hand_off.pieces.end(),
                                  [&](const FinishedPiece& p) { return p.mark == done.piece; });
    if (now == hand_off.pieces.end()) {
      hand_off.warnings.push_back(
          {"done-piece-lost",
           fmt::format("{} is printed already but is no piece of this plan any more.",
                       done.piece)});
      continue;
    }
    now->is_done = true;
    const double volume = volume_mm3(now->keyed);
    const bool is_same_volume =
        before->volume_mm3 <= 0 || std::abs(volume / before->volume_mm3 - 1) <= kSame;
    if (is_same_volume && has_keys_at(hand_off, now - hand_off.pieces.begin(), before->keys))
      continue;
    hand_off.warnings.push_back(
        {"done-piece-changed",
         fmt::format(
             "{} keeps its shape, but its keys or marks came out otherwise than printed ({:.1f} "
             "cm³, printed {:.1f}): a neighbour changed. Mark that neighbour done as well, "
             "drill the new holes, or print {} again.",
             done.piece, volume / 1000, before->volume_mm3 / 1000, done.piece)});
  }
}

}  // namespace seamwright::job_detail
