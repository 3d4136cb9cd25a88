#pragma once

#include <span>
#include <vector>

#include "mesh/edge_uses.h"
#include "seamwright/core/random.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// Closed surfaces of a mesh, and which lie in which.
struct Bodies {
  std::size_t count = 0;
  std::vector<std::uint32_t> of_face;
  std::vector<double> volume_mm3;                  ///< signed, one a body
  std::vector<std::vector<std::uint32_t>> around;  ///< the bodies around each, in order
};

/// Faces joined across their edges. A face edge that more than two faces share joins only the
/// patches that need each other there (an odd number of uses); bodies that touch in an edge stay
/// two.
Bodies find_bodies(std::span<const Vec3> points, std::span<const Triangle> triangles,
                   std::span<const EdgeUse> uses);

/// Fills `around` by majority of three rays from a face of each body.
void find_nesting(Bodies& bodies, std::span<const Vec3> points,
                  std::span<const Triangle> triangles);

}  // namespace seamwright
