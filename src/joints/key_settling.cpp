#include <algorithm>

#include "joints/key_planner.h"
#include "joints/outline_misfit.h"

namespace seamwright::joints {
namespace {

constexpr int kRounds = 4;
constexpr double kBetter_mm = 1e-6;

}  // namespace

KeyPlanner::Others KeyPlanner::others_of(std::size_t joint, std::optional<std::size_t> but) const {
  Others others;
  for (std::size_t j = 0; j < laid_.size(); ++j) {
    if (j == joint || j == but || laid_[j].layout.keys.size() < 2) continue;
    others.layouts.push_back(flat_keys(laid_[j].layout.keys));
    others.joints.push_back(j);
  }
  return others;
}

/// The joint's keys against all others as they are; its rival by joint.
KeyLayout KeyPlanner::judged(std::size_t joint) const {
  const Laid& laid = laid_[joint];
  const Others others = others_of(joint);
  KeyLayout layout = judge_layout(laid.layout.keys, region_center(laid.context->face->region),
                                  rules_for(*laid.context, laid.male, others));
  if (!others.joints.empty()) layout.pairing_with = others.joints[layout.pairing_with];
  return layout;
}

/// The same, where keys fall short by them and the outlines together; pairings are told of the
/// later joint only.
KeyLayout KeyPlanner::judged_with_outline(std::size_t joint) const {
  KeyLayout layout = judged(joint);
  if (layout.is_safe(kLeastMisfit_mm)) return layout;
  const auto flat = [&](std::size_t j) {
    return FlatFace{&laid_[j].context->face->region, flat_keys(laid_[j].layout.keys)};
  };
  const FlatFace face = flat(joint);
  const double extra_mm = rules_for(*laid_[joint].context, laid_[joint].male, {}).hole_extra_mm;
  layout.misfit_mm = std::max(
      layout.misfit_mm,
      outlined_turn_misfit_mm(face, region_center(*face.region), extra_mm, kLeastMisfit_mm));
  layout.pairing_misfit_mm = kLeastMisfit_mm;
  for (std::size_t j = 0; j < joint; ++j) {
    if (laid_[j].layout.keys.size() < 2) continue;
    const double keys_mm = wrong_pairing_misfit_mm(face.keys, flat_keys(laid_[j].layout.keys),
                                                   extra_mm, layout.pairing_misfit_mm);
    if (keys_mm >= layout.pairing_misfit_mm) continue;
    const double misfit_mm =
        outlined_pairing_misfit_mm(face, flat(j), extra_mm, layout.pairing_misfit_mm);
    if (std::max(keys_mm, misfit_mm) >= layout.pairing_misfit_mm) continue;
    layout.pairing_misfit_mm = std::max(keys_mm, misfit_mm);
    layout.pairing_with = j;
  }
  return layout;
}

void KeyPlanner::release(std::size_t joint) {
  for (auto& places : taken_)
    std::erase_if(places, [&](const TakenPlace& place) { return place.joint == joint; });
  std::erase_if(protrusions_, [&](const Protrusion& p) { return p.joint == joint; });
}

/// Lays the joint's keys so, in place of what it had.
void KeyPlanner::put(std::size_t joint, Laid laid, std::vector<Joint>& joints) {
  release(joint);
  joints[joint].keys.clear();
  joints[joint].kind = laid.male ? KeyKind::pin : KeyKind::dowel;
  take(joint, laid, joints[joint]);
  laid_[joint] = std::move(laid);
}

/// The best that a thorough search finds for a joint whose keys are released: of the same kind, or
/// loose dowels in place of pins.
KeyPlanner::Laid KeyPlanner::laid_anew(std::size_t joint, std::optional<std::size_t> but,
                                       int round) {
  const FaceContext& context = *laid_[joint].context;
  const std::optional<Side> male = laid_[joint].male;
  const Others others = others_of(joint, but);
  Laid best{&context, {}, {}};
  if (male) {
    KeyLayout pins = lay_out(context, male, others, round);
    if (pins.keys.size() >= 2 && fits_with(context, *male, box_with_pins(context, *male, pins)))
      best = {&context, male, std::move(pins)};
    if (best.layout.is_safe(kLeastMisfit_mm)) return best;
  }
  KeyLayout dowels = lay_out(context, {}, others, round);
  if (dowels.worth_mm(kLeastMisfit_mm) > best.layout.worth_mm(kLeastMisfit_mm))
    best = {&context, {}, std::move(dowels)};
  return best;
}

/// What all turns and pairings together lack of the misfit they should have; a joint that turns on
/// its one key lacks all of it, one without keys more.
double KeyPlanner::lack_mm() const {
  double lack = 0;
  for (std::size_t j = 0; j < laid_.size(); ++j) {
    const auto& keys = laid_[j].layout.keys;
    if (laid_[j].context == nullptr) continue;
    if (keys.size() < 2) lack += (keys.empty() ? 4 : 2) * kLeastMisfit_mm;
    if (keys.size() < 2) continue;
    const FaceContext& context = *laid_[j].context;
    const double extra_mm = rules_for(context, laid_[j].male, {}).hole_extra_mm;
    const double turn_mm =
        wrong_turn_misfit_mm(keys, region_center(context.face->region), extra_mm);
    lack += std::max(0.0, kLeastMisfit_mm - turn_mm);
    for (std::size_t i = 0; i < j; ++i)
      lack += kLeastMisfit_mm - wrong_pairing_misfit_mm(flat_keys(keys),
                                                        flat_keys(laid_[i].layout.keys), extra_mm,
                                                        kLeastMisfit_mm);
  }
  return lack;
}

/// Lays the joint's own keys out anew; whether that helps.
bool KeyPlanner::settle_alone(std::size_t joint, int round, std::vector<Joint>& joints) {
  Laid before = laid_[joint];
  const double lack_before_mm = lack_mm();
  release(joint);
  put(joint, laid_anew(joint, {}, round), joints);
  if (lack_mm() < lack_before_mm - kBetter_mm) return true;
  put(joint, std::move(before), joints);
  return false;
}

/// Lays the joint out without heed of its rival, and then the rival anew; whether that helps.
bool KeyPlanner::settle_with(std::size_t joint, std::size_t rival, int round,
                             std::vector<Joint>& joints) {
  Laid before = laid_[joint], rival_before = laid_[rival];
  const double lack_before_mm = lack_mm();
  release(joint);
  release(rival);
  put(joint, laid_anew(joint, rival, round), joints);
  put(rival, laid_anew(rival, {}, round), joints);
  if (lack_mm() < lack_before_mm - kBetter_mm) return true;
  release(joint);
  put(rival, std::move(rival_before), joints);
  put(joint, std::move(before), joints);
  return false;
}

/// Lays out anew, alone or with its rival, each joint that could be turned or mixed up.
void KeyPlanner::settle(std::vector<Joint>& joints) {
  for (int round = 0; round < kRounds && lack_mm() > 0; ++round) {
    for (std::size_t j = 0; j < joints.size(); ++j) {
      if (laid_[j].is_kept || laid_[j].layout.keys.empty() || judged(j).is_safe(kLeastMisfit_mm))
        continue;
      settle_alone(j, round, joints);
      const KeyLayout now = judged(j);
      if (now.pairing_misfit_mm < kLeastMisfit_mm && !laid_[now.pairing_with].is_kept)
        settle_with(j, now.pairing_with, round, joints);
    }
  }
}

Box3 KeyPlanner::bed_box(std::size_t piece) const {
  Box3 box = bare_boxes_[piece];
  for (const Protrusion& p : protrusions_) {
    if (p.piece != piece) continue;
    box.extend(p.box.low);
    box.extend(p.box.high);
  }
  return box;
}

std::vector<Pose> KeyPlanner::poses() const {
  std::vector<Pose> poses;
  for (std::size_t i = 0; i < inputs_.pieces.size(); ++i) {
    Pose pose = inputs_.pieces[i].pose;
    Box3 bare;
    for (Vec3 p : inputs_.pieces[i].cut->solid.points()) bare.extend(pose.bed_from_part.apply(p));
    const Box3 box = bed_box(i);
    if (box.low == bare.low && box.high == bare.high) {
      poses.push_back(pose);
      continue;
    }
    pose.bed_from_part.shift += Vec3{bare.low.x - box.low.x, bare.low.y - box.low.y, 0};
    pose.size_mm = box.size();
    poses.push_back(pose);
  }
  return poses;
}

}  // namespace seamwright::joints
