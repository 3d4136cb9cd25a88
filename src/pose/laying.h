#pragma once

#include <optional>
#include <span>

#include "pose/footing.h"
#include "seamwright/pose/pose_probe.h"

namespace seamwright::pose_detail {

/// The rules as they hold for one solid: a thin sheet's are laxer.
struct Limits {
  Limits(const StandingRules& rules, bool is_sheet)
      : tip_deg((is_sheet ? rules.sheet_tip : rules.least_tip).degrees()),
        slender_ratio(is_sheet ? rules.sheet_slender_ratio : rules.most_slender_ratio),
        contact_mm2(rules.least_contact_mm2) {}
  double tip_deg, slender_ratio, contact_mm2;
};

/// How far a footing is from the rules; columns of support count as contact for a foot that rests
/// on them.
Misfit misfit_of(const Footing& footing, Foot foot, const Limits& limits, double excess_mm);

/// By how much an outline and a height are too large for a room, and the turn; within the tolerance
/// is not too large.
struct Excess {
  Turn turn;
  double excess_mm = 0;
};
Excess excess_of(std::span<const Vec2> outline, double height_mm, Vec3 room);

/// The piece turned and laid with its box's low corner at the origin, or nothing when any of its
/// points leaves the room after all.
std::optional<Pose> laid_down(const Solid& solid, const Footing& footing, Vec2 along, Vec3 room);

}  // namespace seamwright::pose_detail
