#pragma once

#include <optional>
#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// One kind of fault: how many, and up to ten places.
struct HealthFinding {
  std::string code;  ///< "open-edge", "non-manifold-edge", "flipped-edge", "duplicate-face",
                     ///< "zero-area-face", "self-crossing", "inside-out-shell", "nested-shell",
                     ///< "overlapping-bodies", "thin-wall", "unused-point"
  std::size_t count = 0;
  std::vector<Vec3> places;
  std::string advice;    ///< what mends it
  bool is_fault = true;  ///< false: worth knowing, nothing to mend (nested shells)
};

struct HealthReport {
  Vec3 size_mm;
  std::size_t point_count = 0, face_count = 0, shell_count = 0;
  double area_mm2 = 0;
  std::optional<double> volume_mm3;  ///< when closed
  bool is_closed = false;            ///< every directed edge has its opposite
  long long euler_number = 0;        ///< V − E + F
  /// Ways through it, as a ring has one and a pair of scissors two: those of the outer surfaces of
  /// its bodies. When closed and no edge has more than two faces.
  std::optional<std::size_t> hole_count;
  std::vector<HealthFinding> findings;
};

/// Looks a mesh over without changing it. O(n log n), self-crossings by CGAL.
HealthReport check_mesh(const TriangleSoup& soup, const Run& run = {});

}  // namespace seamwright
