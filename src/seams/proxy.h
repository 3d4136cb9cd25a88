#pragma once

#include <span>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"
#include "seamwright/query/ray_tree.h"

namespace seamwright::search {

/// Which faces of the part each face of a coarse stand-in stands for: the nearest ones to points
/// spread over it that look the same way. (The stand-in's own rays against the part would start
/// inside it.)
class StoodFor {
 public:
  /// O(coarse faces · log n).
  StoodFor(const Solid& part, const RayTree& part_tree, const Solid& coarse, const Run& run);

  /// The means of what is known of the part's faces (sight, weight), one a face of the stand-in; 1
  /// where it stands for none, and everywhere when nothing is known.
  std::vector<double> means(std::span<const double> face_values) const;
  /// The mean of the part's normals there: a coarse face leans by some degrees more or less than
  /// the skin does. The stand-in's own where it stands for none.
  Vec3 normal(std::size_t face, Vec3 own) const;

 private:
  const Solid& part_;
  std::vector<std::vector<FaceId>> faces_;
};

}  // namespace seamwright::search
