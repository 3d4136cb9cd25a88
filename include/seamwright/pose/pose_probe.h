#pragma once

#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "seamwright/pose/standing.h"

namespace seamwright {

namespace pose_detail {
struct ProbeMemory;
}

/// How far a solid is from standing in a room; all zero when it stands. For a search that needs to
/// know which of two bad pieces is nearer to good.
struct Misfit {
  double excess_mm = 0;  ///< too large by this in the best turn: the worse of height and footprint
  double tip_deficit_deg = 0;       ///< tip angle missing to the rule
  double contact_deficit_mm2 = 0;   ///< contact missing to the rule
  double slender_excess_ratio = 0;  ///< slenderness beyond the rule
  bool is_none() const;
  /// Zero for none; else one hour and more, growing with each of the four. A search's penalty, not
  /// a cost: the steps are an assumption.
  double penalty_h() const;
};

/// The first pose found that fits and holds the rules, or how far the best one is from it.
struct BestPose {
  std::optional<Pose> pose;
  std::size_t printer = 0;  ///< position in the list of rooms asked for
  Misfit misfit;            ///< none when there is a pose
};

/// Repeated questions about one solid's standing poses: face normals, mass and feet are found once.
/// The solid must outlive it. Not for sharing between threads.
class PoseProbe {
 public:
  /// O(faces).
  explicit PoseProbe(const Solid& solid, const StandingRules& rules = {});
  ~PoseProbe();
  PoseProbe(PoseProbe&&) noexcept;

  /// Stops at the first foot that holds the rules in one of the rooms: by kind of foot up to
  /// `last`, then the foot's area, then the rooms in their order. O(n) a foot tried;
  /// `Foot::supports` also O(n log n) once. A solid without any foot has the misfit of its best
  /// hull facet when supports are allowed, else of the six directions of its box.
  BestPose best(std::span<const Vec3> usable_mm, Foot last = Foot::flat_side);

  /// All poses in one room, best first: see standing_poses.
  std::vector<Pose> all(Vec3 usable_mm, Foot last = Foot::supports);

 private:
  std::unique_ptr<pose_detail::ProbeMemory> memory_;
};

/// One-shot form of PoseProbe::best.
BestPose best_standing_pose(const Solid& solid, std::span<const Vec3> usable_mm,
                            Foot last = Foot::flat_side, const StandingRules& rules = {});

}  // namespace seamwright
