#pragma once

#include <optional>
#include <vector>

#include "joints/cap_work.h"
#include "joints/surroundings.h"
#include "seamwright/pose/pose.h"
#include "seamwright/profile/joinery.h"

namespace seamwright::joints {

/// A joint face from one of its two pieces: where its holes point, how they are shaped for
/// printing.
struct FaceSide {
  CapFrame frame;
  std::optional<Vec2> roof;  ///< in the frame, towards bed-up, when holes here are printed lying
  bool is_on_bed = false;    ///< the cap lies on the bed
};

/// The axis within 45° of the horizontal is a lying hole.
FaceSide face_side(const Plane& plane, Side side, const Pose& pose);

/// A hole's radius: the rod's, the glue clearance, and the printer's extra where it lies.
double hole_radius_mm(double diameter_mm, const FaceSide& side, const Joinery& joinery);

/// A place that holes of the same piece must keep away from: a key's axis with its widest radius.
struct TakenPlace {
  Vec3 from, to;
  double radius_mm = 0;
  std::size_t joint = 0;  ///< whose key it is
};

/// Whether a hole with this outline (in the side's frame) keeps `wall_mm` to the surroundings down
/// to `depth_mm` and under its floor. Sampled at 0.6 mm along the rim's lines; the wall asked for
/// grows by what lies between samples, so no obstacle slips through.
bool hole_keeps_wall(const FaceSide& side, const Surroundings& near, Vec2 center, double radius_mm,
                     const Loop2& outline, double depth_mm, double wall_mm);

/// The least distance of two segments (Ericson, Real-Time Collision Detection, 5.1.9).
double segments_distance_mm(Vec3 a0, Vec3 a1, Vec3 b0, Vec3 b1);

}  // namespace seamwright::joints
