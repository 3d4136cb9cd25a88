#pragma once

#include "joints/face_context.h"

namespace seamwright::joints {

/// A tongue along a wall, in a groove with a lip on each side. Assumptions.
struct TongueRules {
  double least_wall_mm = 5;    ///< narrower walls leave lips that break
  double widest_wall_mm = 20;  ///< wider faces have room for dowels
  double lip_ratio = 0.3;      ///< of the wall's width
  double least_lip_mm = 1.2;
  double clearance_mm = 0.15;  ///< per side; a groove that its tongue can't be set into is left out
  double longest_mm = 60;      ///< of one tongue
  double gap_mm = 4;  ///< between two, at uneven places, so that a turned piece does not fit
};

/// The grooves' outlines in the plane's (u, v), counter-clockwise, each a simple loop: the face's
/// region less a lip on all sides (the widest of a few that leaves
/// room), where it still has the least lip down to `depth_mm` in the piece that
/// gets the grooves (its sections there, channels taken off), opened with a disc of 0.6 mm, divided
/// unevenly. Distances checked against the surroundings at the grooves' full depth. Empty where
/// there is no room for 8 mm of tongue.
std::vector<Loop2> groove_outlines(const FaceContext& context, const Solid& female, Side side,
                                   double depth_mm, const TongueRules& rules);

/// The loop with each edge moved outward by `by_mm` (inward: negative), as many points as before;
/// nothing where an edge would turn round.
std::optional<Loop2> moved_edges(const Loop2& loop, double by_mm);

/// The groove's cut into a cap, its mouth widened by `bevel_mm`, and the tongue that fills it less
/// the clearance, its tip chamfered; outlines in the side's frame.
CapFeature make_groove(const Loop2& outline, double depth_mm, double bevel_mm, Origin origin);
CapFeature make_tongue(const Loop2& outline, double clearance_mm, double height_mm, Origin origin);

}  // namespace seamwright::joints
