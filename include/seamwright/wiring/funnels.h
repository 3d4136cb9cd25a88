#pragma once

#include <span>
#include <vector>

#include "seamwright/cut/joint_faces.h"
#include "seamwright/wiring/wire_part.h"

namespace seamwright {

/// A place where a channel's centre line passes a seam, from one piece into another.
struct SeamCrossing {
  std::size_t channel = 0;  ///< position in WiredPart::channels
  SeamId seam{};
  Vec3 at;                    ///< on the seam's plane
  Vec3 along;                 ///< unit, the channel's way there
  double way_mm = 0;          ///< from the channel's begin
  Angle angle;                ///< between the way and the plane: 90° is square
  PieceId before{}, after{};  ///< the pieces the way comes from and goes to
};

/// All crossings, by channel, in the order of its way. A crossing counts within a joint face or at
/// most 0.75 diameters from its edge: the bore's own hole. O(samples · faces).
std::vector<SeamCrossing> find_crossings(const SeamPlan& plan, std::span<const JointFace> faces,
                                         std::span<const Channel> channels);

/// Widens each bore, rib or spar where it crosses a seam: by `widen_mm` all round at the seam,
/// down to nothing over the same depth on both sides, as the hole lies in the plane (an ellipse
/// where it crosses askew), so that the wire pushed through one piece finds the other's hole. Done
/// on the whole part, which is then cut by the same plan anew, so that both sides' mouths are one.
/// Troughs and clips are open and get none. Origin {channel, its position}. Errors:
/// "boolean-failed" naming the channel and seam. One pass of booleans.
Result<Solid> cut_funnels(const Solid& wired, const SeamPlan& plan,
                          std::span<const SeamCrossing> crossings,
                          std::span<const Channel> channels, double widen_mm = 0.7);

}  // namespace seamwright
