#pragma once

#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "seamwright/seams/plan_seams.h"

namespace seamwright::search {

/// A flat side of the part's skin that a piece may stand on: one plane, several faces.
struct FlatSide {
  Vec3 normal;  ///< outward, unit
  double offset_mm = 0;
  double area_mm2 = 0;
};

inline constexpr std::uint32_t kNoFlat = std::numeric_limits<std::uint32_t>::max();

/// What the search knows of each face, apart from its corners.
struct FaceFacts {
  Vec3 normal;                   ///< outward, unit; zero for a face without area
  double sight = 1;              ///< 0…1
  double weight = 1;             ///< of a seam's hours here
  std::uint32_t flat = kNoFlat;  ///< position in SearchMesh::flats
  bool is_skin = true;           ///< channel and pocket walls have no seam to finish
};

/// The mesh that a search runs on, a proxy or the part itself.
struct SearchMesh {
  std::vector<Vec3> points;
  std::vector<Triangle> triangles;
  std::vector<FaceFacts> facts;  ///< one a triangle
  std::vector<FlatSide> flats;
  double volume_mm3 = 0;
  double diameter_mm = 0;  ///< diagonal of the box
};

/// `skin` is of `solid`. Flat sides smaller than `least_flat_mm2` are not kept. O(n log n).
SearchMesh make_search_mesh(const Solid& solid, const SkinView& skin, double least_flat_mm2);

}  // namespace seamwright::search
