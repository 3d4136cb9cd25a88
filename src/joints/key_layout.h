#pragma once

#include <algorithm>
#include <array>
#include <functional>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "joints/key_spots.h"
#include "seamwright/joints/wrong_pairing.h"

namespace seamwright::joints {

/// A key in its joint face, in the plane's (u, v).
struct PlacedKey {
  Vec2 at;
  double diameter_mm = 0;
  double depth_mm = 0;
};

/// Of a piece put on turned, or on a face that is not its own. Assumption.
inline constexpr double kLeastMisfit_mm = 1.5;

struct LayoutRules {
  std::vector<double> diameters_mm;  ///< allowed, widest first
  double gap_mm = 1.2;               ///< plastic kept between two holes
  bool has_teardrops = true;         ///< holes reach √2 radii
  double hole_extra_mm = 0.3;        ///< a hole is this much wider than its rod
  double reach_mm = 60;              ///< no spot of the face further from a key; assumption
  double least_misfit_mm = kLeastMisfit_mm;
  std::size_t most_keys = 12;
  double least_depth_ratio = 1.5;  ///< of a hole, to its diameter
  /// Other counts and sizes too, where the usual search falls short; each round tries others.
  std::optional<int> thorough_round = {};
  /// Keys of the faces laid out before: none of them may fit this one either.
  std::span<const std::vector<FlatKey>> others = {};
};

struct KeyLayout {
  std::vector<PlacedKey> keys;
  double misfit_mm = 0;  ///< of the wrong turn that fits best
  /// Of the wrong pairing that fits best, and its position in LayoutRules::others.
  double pairing_misfit_mm = std::numeric_limits<double>::infinity();
  std::size_t pairing_with = 0;

  bool is_safe(double least_mm) const {
    return misfit_mm >= least_mm && pairing_misfit_mm >= least_mm;
  }
  /// What layouts are compared by: both misfits as far as they are wanted.
  double worth_mm(double least_mm) const {
    return std::min(misfit_mm, least_mm) + std::min(pairing_misfit_mm, least_mm);
  }
};

/// How deep a key of this diameter may go at this place; nothing where it has no room.
using DepthAt = std::function<std::optional<double>(Vec2 at, double diameter_mm)>;

/// Chooses keys among the spots: two as far apart as the face allows, more so that no spot is
/// further than `reach_mm` from a key; the widest diameter that costs no more than two fifths of
/// the spread; then a smaller second key and shifts until every wrong turn of this face and every
/// wrong pairing with the others misfits by `least_misfit_mm`. Where that is not enough and
/// `thorough_round`, of many layouts at random, with more keys and all sizes, the one with its keys
/// farthest apart that does it. Fewer than two keys when the face has no room for two.
/// Deterministic.
KeyLayout lay_out_keys(const Region2& region, std::span<const KeySpot> spots,
                       const LayoutRules& rules, const DepthAt& depth_at);

/// The keys with their misfits, against the rules' others.
KeyLayout judge_layout(std::vector<PlacedKey> keys, Vec2 center, const LayoutRules& rules);

/// The turns that a regular outline may have: multiples of 30° and 72°.
inline constexpr std::array kWrongTurns_deg{30,  60,  72,  90,  120, 144, 150, 180,
                                            210, 216, 240, 270, 288, 300, 330};

/// How badly the piece fits when put on turned about the face's normal (by multiples of 30° and
/// 72°) and shifted as is best for it: the greater of the outline's shift and of the worst key's
/// error, a key's error being its distance to the nearest hole plus what its diameter exceeds that
/// hole's, or what its depth exceeds that hole's, the greater. Values above twice 1.5 mm are lower
/// bounds (half of what the unshifted turn gives).
double wrong_turn_misfit_mm(std::span<const PlacedKey> keys, Vec2 center, double hole_extra_mm);

/// Keys without their depths, to be compared with those of other faces.
std::vector<FlatKey> flat_keys(std::span<const PlacedKey> keys);

/// The centroid of a region's area.
Vec2 region_center(const Region2& region);

}  // namespace seamwright::joints
