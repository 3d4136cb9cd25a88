#pragma once

#include <span>
#include <vector>

#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// All crossings of a ray with a triangle soup, in doubles, by a tree of boxes. For the few rays
/// that checking and mending ask; the room `query` has the fast tree. Setup O(n log n), a ray O(log
/// n + hits).
class RayProbe {
 public:
  struct Hit {
    std::uint32_t face = 0;
    double distance_mm = 0;
    bool is_leaving = false;  ///< the ray goes out through the face's front
  };
  RayProbe(std::span<const Vec3> points, std::span<const Triangle> triangles);

  /// Crossings along the unit direction beyond the start, in no order.
  std::vector<Hit> hits(Vec3 from, Vec3 direction) const;

 private:
  struct Node {
    Box3 box;
    std::uint32_t first = 0,
                  count = 0;  ///< faces of a leaf; a branch has count 0 and its children at first
  };
  void build(std::uint32_t node, std::uint32_t first, std::uint32_t count,
             std::span<const Vec3> centers);

  std::span<const Vec3> points_;
  std::span<const Triangle> triangles_;
  std::vector<std::uint32_t> order_;
  std::vector<Node> nodes_;
};

}  // namespace seamwright
