#pragma once

#include <functional>
#include <span>
#include <vector>

#include "seamwright/mesh/solid.h"
#include "seamwright/pose/standing.h"
#include "seamwright/profile/cost.h"

namespace seamwright {

/// What one way to stand costs, in hours of the maker's own work.
struct DirectionHours {
  double printing_h = 0;  ///< minding the print, and what is lost when it fails
  double support_h = 0;   ///< taking support off
  double scars_h = 0;     ///< its marks on skin that is seen
  double steps_h = 0;     ///< stair-steps on shallow skin that is seen
  double weakness_h = 0;  ///< joints pulled across the layers
  double warping_h = 0;   ///< big flat feet with sharp corners, by material
  double tipping_h = 0;   ///< tall on a narrow foot
  double total_h() const {
    return printing_h + support_h + scars_h + steps_h + weakness_h + warping_h + tipping_h;
  }
};

/// One way to stand in a room.
struct Direction {
  Pose pose;
  std::size_t room = 0;  ///< position in DirectionSetting::rooms_mm
  Vec3 down;             ///< in the part's frame
  double print_s = 0;
  DirectionHours hours;
};

struct DirectionSetting {
  std::vector<Vec3> rooms_mm;
  Poses poses = Poses::standing;
  StandingRules rules;
  std::vector<double> face_sight;  ///< one a face, 0 to 1; empty: nothing is seen
  CostWeights cost;
  double warp_ratio = 0.15;  ///< of the material: 0 never warps, 1 as ABS does
};

/// Seconds a pose in this room takes.
using PoseTime = std::function<double(const Pose&, std::size_t room)>;

/// The ways a solid may stand, the cheapest first: joint faces and flat sides; where there are none
/// that hold the rules, or any rotation is allowed, also hull facets, principal axes and a grid of
/// directions, on supports. Only poses that fit and hold the rules. The twelve best without their
/// print time get it from `print_s`; the rest are dropped. Deterministic. O(faces) a candidate,
/// about 80 of them at most.
std::vector<Direction> rank_directions(const Solid& solid, const DirectionSetting& setting,
                                       const PoseTime& print_s);

/// The pose with this direction down, turned to fit one of the rooms, whatever it rests on and
/// whether or not it holds the rules (is_stable says so); nothing when it fits none.
std::optional<Direction> direction_down(const Solid& solid, Vec3 down,
                                        const DirectionSetting& setting, const PoseTime& print_s);

/// The hours of printing for a print time: minding and failures.
double printing_hours(double print_s, const CostWeights& cost);

/// Corners under 100° of the hull of what touches the bed, in bed coordinates: where a big flat
/// foot lifts first and a pad holds it. O(n log n).
std::vector<Vec2> sharp_foot_corners(const Solid& solid, const Transform& bed_from_part);

/// Those corners, when the foot is so large that this material lifts it there (its warp_ratio times
/// the foot's area, of a foot of 200 × 200 mm, a tenth or more: assumption); else none. O(n log n).
std::vector<Vec2> lifting_corners(const Solid& solid, const Pose& pose, double warp_ratio);

}  // namespace seamwright
