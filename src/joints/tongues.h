#pragma once

#include "joints/face_context.h"

namespace seamwright::joints {

/// A tongue along a wall, in a groove with a lip on each side. Assumptions.
struct TongueRules {
  double least_wall_mm = 5;    ///< narrower walls leave lips that break
  double widest_wall_mm = 20;  ///< wider faces have room for dowels
  double lip_ratio = 0.3;      ///< of the wall's width
  double least_lip_mm = 1.2;
  double opening_mm = 0.6;     ///< radius: no groove is narrower than twice this
  double clearance_mm = 0.15;  ///< per side; a groove that its tongue can't be set into is left out
  double longest_mm = 60;      ///< of one tongue
  double gap_mm = 4;  ///< between two, at uneven places, so that a turned piece does not fit
};

/// The grooves' outlines in the plane's (u, v), counter-clockwise, each a simple loop: the face's
/// region less a lip on all sides (of a few the widest that leaves about as much
/// tongue as any), where it still has the least lip down to `depth_mm` in the piece that
/// gets the grooves (its sections there, channels taken off), opened with a disc, divided
/// unevenly. Distances checked against the surroundings at the grooves' full depth. Empty where
/// there is no room for 8 mm of tongue.
std::vector<Loop2> groove_outlines(const FaceContext& context, const Solid& female, Side side,
                                   double depth_mm, const TongueRules& rules);

/// How long they are together, along the wall.
double grooves_length_mm(std::span<const Loop2> grooves);

/// The thinnest lip beside the grooves, down to their floors, in steps of 0.05 mm and at most
/// `most_mm`.
double thinnest_lip_mm(const FaceContext& context, Side side, std::span<const Loop2> grooves,
                       double depth_mm, double most_mm);

/// The loop with each edge moved outward by `by_mm` (inward: negative), as many points as before;
/// nothing where an edge would turn round or two would cross. O(points²).
std::optional<Loop2> moved_edges(const Loop2& loop, double by_mm);

/// The lowest tongue whose straight side, under its tip's chamfer, meets 0.3 mm of its groove's
/// wall, under the mouth's bevel.
double least_tongue_mm(double bevel_mm);

/// The groove's cut into a cap, its mouth widened by `bevel_mm`, and the tongue that fills it less
/// the clearance, its tip chamfered; outlines in the side's frame.
/// Where the mouth is widened, tongues under least_tongue_mm() would be held by the bevel alone.
CapFeature make_groove(const Loop2& outline, double depth_mm, double bevel_mm, Origin origin);
CapFeature make_tongue(const Loop2& outline, double clearance_mm, double height_mm, Origin origin);

}  // namespace seamwright::joints
