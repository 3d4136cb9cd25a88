#pragma once

#include <functional>

#include "seamwright/cut/seam_plan.h"
#include "wiring/planned_channel.h"

namespace seamwright::wiring_detail {

/// Where a way passes a seam of a plan.
struct WayCrossing {
  SeamId seam{};
  Vec3 at, along;  ///< unit, the way's direction there
  Angle angle;     ///< between the way and the plane
  double way_mm = 0;
};

/// All crossings of a way in order; a seam's plane counts within the half that it cuts. O(samples ·
/// seams²).
std::vector<WayCrossing> ways_through(const SeamPlan& plan, std::span<const Vec3> path);

using DrawWire = std::function<Result<PlannedChannel>(WireTask&)>;

/// A drawn channel again, or one led anew so that it meets the seams at 45° or more: with a
/// straight stretch along the seam's normal (over a skin: as near to it as the skin allows), tried
/// at places along the seam, first squarely, then up to 40° askew, 25 mm from where seams meet if
/// there is such a place. It keeps the bend that was wanted, or had, stays off what is kept out and
/// as far from the rim as before, or 15 mm. What finds no place stays as it was. `task` takes the
/// passages.
PlannedChannel led_squarely(const WiringSite& site, const SeamPlan& plan, WireTask& task,
                            PlannedChannel planned, const DrawWire& draw);

}  // namespace seamwright::wiring_detail
