#pragma once

#include <array>

#include "pose/footing.h"
#include "seamwright/pose/directions.h"

namespace seamwright::pose_detail {

/// Hours of a pose but for its print time.
class HourCounter {
 public:
  /// Both must outlive it.
  HourCounter(const SolidFacts& facts, const DirectionSetting& setting);
  /// O(faces).
  DirectionHours of(const Pose& pose, Vec3 down) const;

 private:
  double sight(std::size_t face) const {
    return setting_.face_sight.empty() ? 0 : setting_.face_sight[face];
  }
  void add_skin(Vec3 down, DirectionHours& hours) const;
  double weakness_h(Vec3 down) const;
  double warping_h(const Pose& pose) const;

  const SolidFacts& facts_;
  const DirectionSetting& setting_;
  double support_cosine_;
};

/// The three axes of a solid's inertia about its centre, unit length.
std::array<Vec3, 3> principal_axes(const Solid& solid);

}  // namespace seamwright::pose_detail
