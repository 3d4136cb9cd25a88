#pragma once

#include <array>
#include <limits>
#include <span>
#include <vector>

#include "seamwright/mesh/solid.h"

namespace seamwright::wiring_detail {

using Corners = std::array<Vec3, 3>;

struct NearTriangle {
  double distance_mm = std::numeric_limits<double>::infinity();
  Vec3 point;
  std::uint32_t triangle = 0;  ///< position in the list the tree was made from
};

/// Nearest points on any list of triangles, open ones too (a patch of skin, a solid without its own
/// tunnel's walls), which RayTree can't hold. Exact in doubles; safe to use from many threads.
/// Setup O(n log n), a query O(log n).
class TriangleTree {
 public:
  explicit TriangleTree(std::vector<Corners> triangles);
  /// The nearest triangle within `reach_mm`; infinitely far when there is none.
  NearTriangle nearest(Vec3 from, double reach_mm = 1e9) const;

 private:
  struct Node {
    Box3 box;
    std::uint32_t first = 0, count = 0;  ///< triangles of a leaf
    std::uint32_t right = 0;             ///< of an inner node; the left child follows the node
  };
  struct Placed {
    Vec3 middle;  ///< of a triangle, times three
    std::uint32_t triangle = 0;
  };
  std::uint32_t build(std::span<const Corners> triangles, std::span<Placed> placed,
                      std::uint32_t first);

  std::vector<Corners> triangles_;    ///< leaf by leaf
  std::vector<std::uint32_t> order_;  ///< of each in the list given
  std::vector<Node> nodes_;
};

/// The point of a triangle nearest to `from`. Source: Ericson, Real-Time Collision Detection, 5.1.5
/// (memory).
Vec3 nearest_on_triangle(const Corners& triangle, Vec3 from);

/// The corners of the solid's faces that `keep(face)` wants.
template <class Keep>
std::vector<Corners> corners_where(const Solid& solid, const Keep& keep) {
  std::vector<Corners> kept;
  kept.reserve(solid.face_count());  // growing took a twentieth of a ridge's time
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    if (keep(to_id<FaceId>(f))) kept.push_back(solid.corners(to_id<FaceId>(f)));
  }
  return kept;
}

}  // namespace seamwright::wiring_detail
