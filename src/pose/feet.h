#pragma once

#include <optional>
#include <vector>

#include "pose/footing.h"

namespace seamwright::pose_detail {

/// A direction to try as down, and what would be the foot.
struct Candidate {
  Vec3 down;
  std::optional<SeamId> seam;  ///< for a joint face
  double level_mm = 0;         ///< down · p of the joint face
  double area_mm2 = 0;
};

/// Joint faces: cap faces grouped by seam and normal; largest first. O(faces).
std::vector<Candidate> joint_face_candidates(const SolidFacts& facts);

/// Directions in which the skin may have a flat side: normals that at least `least_mm2` of skin
/// share. Whether it is flat and nothing lies below is judged by its contact. Largest first.
/// O(faces).
std::vector<Candidate> flat_side_candidates(const SolidFacts& facts, double least_mm2);

/// The convex hull's corners and facets, coplanar triangles joined, largest first: of those within
/// 2° of each other the largest, and apart the others.
struct HullFeet {
  std::vector<Vec3> points;
  std::vector<Candidate> facets, others;
};
/// O(n log n).
HullFeet hull_feet(const SolidFacts& facts);

/// Whether two directions are the same to 0.08°.
bool is_same_direction(Vec3 a, Vec3 b);

}  // namespace seamwright::pose_detail
