#pragma once

#include <cstdint>
#include <vector>

#include "seams/clip_body.h"

namespace seamwright::search {

/// A cap of one piece, or a flat side of it: what it could stand on.
struct FootShape {
  Vec3 outward;
  double offset_mm = 0;
  double area_mm2 = 0;
  bool is_cap = true;
  std::vector<Vec3> points;  ///< its corners
};

/// One connected solid of a leaf, measured.
struct PieceShape {
  std::vector<Vec3> points;
  std::vector<FootShape> feet;                      ///< caps in the body's order, then flat sides
  std::vector<std::array<std::uint32_t, 3>> faces;  ///< of the skin; positions in points
  std::vector<Vec3> area_normals;                   ///< one a face: unit normal times mm²
  Vec3 centroid;
  double volume_mm3 = 0;
  double area_mm2 = 0;  ///< with caps and the walls of channels
};

/// The pieces of a body: faces and caps that touch, the hole of a cap belonging to the loop around
/// it, closed voids to the piece around them. Ordered by their first face. O(n).
std::vector<PieceShape> piece_shapes(const ClipBody& body, const SearchMesh& mesh);

}  // namespace seamwright::search
