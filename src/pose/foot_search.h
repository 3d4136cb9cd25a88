#pragma once

#include <algorithm>
#include <optional>
#include <span>
#include <vector>

#include "pose/feet.h"
#include "pose/standing_judge.h"
#include "seamwright/pose/pose_probe.h"

namespace seamwright::pose_detail {

/// What a PoseProbe keeps of its solid; feet are found when first asked for.
struct ProbeMemory {
  SolidFacts facts;
  StandingRules rules;
  StandingJudge judge;
  FootingMaker maker;
  std::vector<Candidate> joint_faces;
  std::optional<std::vector<Candidate>> flat_sides;
  std::optional<HullFeet> hull;

  ProbeMemory(const Solid& solid, const StandingRules& with)
      : facts(solid),
        rules(with),
        judge(facts, with),
        maker(facts, with.support_from),
        joint_faces(joint_face_candidates(facts)) {}

  const std::vector<Candidate>& find_flat_sides() {
    if (!flat_sides) {
      flat_sides = flat_side_candidates(facts, rules.least_flat_side_mm2);
      std::erase_if(*flat_sides, [&](const Candidate& side) {
        return std::any_of(joint_faces.begin(), joint_faces.end(), [&](const Candidate& joint) {
          return is_same_direction(joint.down, side.down);
        });
      });
    }
    return *flat_sides;
  }
  const HullFeet& find_hull() {
    if (!hull) hull = hull_feet(facts);
    return *hull;
  }
};

/// What a search through a solid's feet found: the poses in the order tried, else the least misfit.
struct FoundFeet {
  std::vector<Pose> poses;
  std::size_t room = 0;  ///< of the first pose
  Misfit least;
};

/// Tries the feet up to `last`, each in the rooms in their order; may stop at the first that holds.
FoundFeet search_feet(ProbeMemory& memory, std::span<const Vec3> rooms, Foot last,
                      bool stops_at_first);

}  // namespace seamwright::pose_detail
