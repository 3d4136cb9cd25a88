#pragma once

#include <span>
#include <vector>

#include "seamwright/core/vec.h"

namespace seamwright::wiring_detail {

/// A straight stretch that a way must have, squarely through a seam.
struct Passage {
  Vec3 at, along;               ///< its middle, on the seam; unit, the way's direction there
  double half_mm = 5;           ///< on either side: the funnel, and a ridge's own half width
  std::size_t vias_before = 0;  ///< given points that the way passes before it
  double way_mm = 0;            ///< where the way crossed before: the order of passages
};

/// The samples of a way, `step_mm` apart, that lie in a passage: those round the one nearest to its
/// middle. One flag a sample.
std::vector<bool> samples_held(std::span<const Vec3> points, std::span<const Passage> passages,
                               double step_mm);

/// Moves the samples in passages onto their lines; along `free`, one unit vector a passage or none,
/// they stay where they are (over a skin: its normal).
void hold_in_passages(std::vector<Vec3>& points, std::span<const Passage> passages,
                      std::span<const Vec3> free, double step_mm);

/// One sweep that takes back half of what samples stick out of the bend they may have at most, over
/// `reach` samples on either side; fixed samples and the ends stay, so their neighbours move.
/// Source: Müller et al., Position Based Dynamics, J. Vis. Commun. 18 (2007) (memory).
void limit_bends(std::vector<Vec3>& points, const std::vector<bool>& is_fixed, double bend_mm,
                 std::size_t reach);

/// Such sweeps over windows of 24 to 8 mm, wide ones first, so that bends spread fast; samples 2 mm
/// apart.
void limit_bends_widely(std::vector<Vec3>& points, const std::vector<bool>& is_fixed,
                        double bend_mm);

}  // namespace seamwright::wiring_detail
