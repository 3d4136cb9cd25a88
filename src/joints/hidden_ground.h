#pragma once

#include <optional>
#include <span>

#include "seamwright/joints/key_pieces.h"
#include "seamwright/query/ray_tree.h"

namespace seamwright::joints {

/// The part's skin as straps ask about it: which of it is hidden, how far a point is off it. Safe
/// to use from many threads.
class HiddenGround {
 public:
  explicit HiddenGround(const HiddenSkin& skin);

  /// Whether the surface nearest to `p`, at most `reach_mm` away, is hidden skin.
  bool is_hidden(Vec3 p, double reach_mm) const;
  /// Whether the surface nearest to `p`, at most `reach_mm` away, is skin that is seen.
  bool is_shown(Vec3 p, double reach_mm) const;
  /// The skin's unit normal nearest to `p`; nothing farther than `reach_mm`.
  std::optional<Vec3> normal(Vec3 p, double reach_mm) const;
  /// How far along the unit direction the part is met, if it is first met on hidden skin.
  std::optional<double> first_hidden_mm(Vec3 from, Vec3 direction) const;
  /// How thick the part is at a point of its skin, straight in against `normal`.
  double wall_mm(Vec3 skin, Vec3 normal) const;
  /// Whether the part's surface lies between two points.
  bool is_between(Vec3 a, Vec3 b) const;
  /// The distance of `p` to the part, negative inside it, cut off at `reach_mm`.
  double height_mm(Vec3 p, double reach_mm) const;

 private:
  const HiddenSkin& skin_;
  RayTree tree_;
};

/// A place on the hidden edge of a joint face, in its plane's (u, v).
struct EdgePoint {
  Vec2 at;
  Vec2 out;  ///< unit, away from the plastic
};

/// The stretches of the face's outline that run along hidden skin, a point every `step_mm`,
/// smoothed over 8 mm, with plastic on the left. Stretches of fewer than five points are left out.
std::vector<std::vector<EdgePoint>> hidden_stretches(const Region2& region, const PlaneFrame& frame,
                                                     const HiddenGround& ground, double step_mm);
/// The same along skin that is seen, smoothed over 2 mm.
std::vector<std::vector<EdgePoint>> shown_stretches(const Region2& region, const PlaneFrame& frame,
                                                    const HiddenGround& ground, double step_mm);

}  // namespace seamwright::joints
