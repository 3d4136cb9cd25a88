#pragma once

#include <optional>
#include <vector>

#include "seamwright/core/region.h"
#include "seamwright/mesh/solid.h"

namespace seamwright::joints {

/// The surface of a piece near one joint face, without the cap that the face lies in: what a key
/// must keep its distance from (skin, channels, pockets, other seams' caps). A box tree, exact in
/// doubles; const and safe to use from many threads. Setup O(faces + k log k), k the faces kept; a
/// query O(log k). Own tree rather than RayTree: that one can't leave the cap out, and is built
/// over the whole piece.
class Surroundings {
 public:
  /// Keeps the faces within `reach_mm` of the box that the region's points span in the plane's
  /// frame.
  Surroundings(const Solid& piece, SeamId cap, const PlaneFrame& frame, const Region2& region,
               double reach_mm);

  /// The distance of the nearest kept face, or `limit_mm` when nothing is nearer. The search stops
  /// at any face nearer than `enough_mm`.
  double nearest_mm(Vec3 from, double limit_mm, double enough_mm = 0) const;
  /// Whether no kept face is nearer than `wall_mm`.
  bool keeps(Vec3 from, double wall_mm) const;

 private:
  struct Node {
    Box3 box;
    std::uint32_t first = 0, count = 0;  ///< faces of a leaf
    std::uint32_t right = 0;             ///< of an inner node; the left child follows the node
  };
  std::uint32_t build(std::uint32_t first, std::uint32_t count);

  std::vector<std::array<Vec3, 3>> faces_;
  std::vector<Node> nodes_;
};

/// The distance of a point to a triangle (Ericson, Real-Time Collision Detection, 5.1.5).
double triangle_distance_mm(const std::array<Vec3, 3>& triangle, Vec3 from);

}  // namespace seamwright::joints
