#pragma once

#include <span>
#include <vector>

#include "joints/flat_mesh.h"
#include "seamwright/core/region.h"
#include "seamwright/cut/seam_plan.h"
#include "seamwright/mesh/solid.h"

namespace seamwright::joints {

/// A seam's plane as one piece sees it from outside: u × v = out, out of the piece. Points in it
/// are counter-clockwise, and letters readable, for someone looking at the piece's cap.
struct CapFrame {
  Vec3 origin, u, v, out;
  CapFrame(const Plane& plane, Side side);
  Vec2 flatten(Vec3 p) const { return {dot(p - origin, u), dot(p - origin, v)}; }
  Vec3 lift(Vec2 q, double height_mm = 0) const {
    return origin + u * q.x + v * q.y + out * height_mm;
  }
  /// From PlaneFrame's (u, v) to this frame's, and back.
  Vec2 from_plane(Vec2 q) const { return is_mirrored ? Vec2{q.x, -q.y} : q; }
  bool is_mirrored = false;
};

/// A closed curve over the cap, counter-clockwise, at a height out of the piece (negative: inside
/// it).
struct Ring {
  Loop2 points;
  double height_mm = 0;
};

/// What stands on a cap or sinks into it: rings of equal point counts, the first in the cap at
/// height 0, joined by walls and closed by a flat floor (or tip) in the last.
struct CapFeature {
  std::vector<Ring> rings;
  Origin origin;
};

/// All that one piece gets on one seam.
struct CapWork {
  SeamId seam{};
  CapFrame frame;
  std::vector<CapFeature> features;
};

/// The volume a feature adds (negative: takes away): the integral of its height over the cap, from
/// its own polygons only.
double feature_volume_mm3(const CapFeature& feature);

/// The solid with every feature built into its caps. Only the cap triangles near a feature are
/// filled anew; all other points and faces keep their coordinates, faces their order. Requires:
/// features lie inside the cap and do not touch each other. Errors: mesh_flat's, with the seam.
/// O(faces + features log features).
Result<Solid> build_on_caps(const Solid& solid, std::span<const CapWork> works);

}  // namespace seamwright::joints
