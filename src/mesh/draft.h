#pragma once

#include <string>
#include <vector>

#include "mesh/edge_uses.h"
#include "seamwright/core/result.h"
#include "seamwright/mesh/mend.h"

namespace seamwright {

/// A mesh on its way from soup to Solid, and the steps taken so far.
struct Draft {
  std::vector<Vec3> points;
  std::vector<Triangle> triangles;
  std::vector<Origin> origins;
  double size_mm = 0;  ///< longest side of the box
  double weld_mm = 0;  ///< tolerance that welding settled on
  std::vector<MendStep> steps;

  std::vector<EdgeUse> edge_uses() const { return sorted_edge_uses(triangles, points.size()); }
  /// Keeps the faces for which keep(face) holds; tells how many went.
  template <class Keep>
  std::size_t keep_faces(const Keep& keep) {
    std::size_t kept = 0;
    for (std::size_t f = 0; f < triangles.size(); ++f) {
      if (!keep(f)) continue;
      triangles[kept] = triangles[f];
      origins[kept++] = origins[f];
    }
    const std::size_t gone = triangles.size() - kept;
    triangles.resize(kept);
    origins.resize(kept);
    return gone;
  }
};

/// Edges used by an odd number of faces: what keeps a mesh open whatever way its faces are turned.
std::size_t count_open_edges(const Draft& draft);
/// Whether every directed edge has as many opposites.
bool is_balanced(const Draft& draft);

/// The steps of mend(), each reported in the draft's steps when it did something.
void weld_exactly(Draft& draft);
void drop_degenerate(Draft& draft);
/// Of faces on the same three corners one stays for each that has no opposite; pairs back to back
/// go. Left alone where that would open a closed mesh.
void drop_duplicates(Draft& draft);
/// Welds corners of open edges within the least tolerance, 1e-7 … 1e-4 of the size, that leaves the
/// fewest open edges.
void weld_open_edges(Draft& draft);
/// Splits open edges at the corners that lie on them, so that both sides of a crack have the same
/// edges.
void stitch(Draft& draft);
/// Drops patches that hang on a body: walls with a free rim, walls wholly inside.
void drop_hanging_walls(Draft& draft);
/// Turns faces so that neighbours agree, by the majority of each patch. Errors: "cannot-mend"
/// (one-sided).
Status orient(Draft& draft);
/// Closes the holes. Errors: "sheet-without-thickness", "cannot-mend".
Status fill_holes(Draft& draft);
/// Turns bodies that are inside out, with the voids in them.
void turn_outward(Draft& draft);

/// " at (x, y, z), (…)": up to ten places.
std::string places_text(const std::vector<Vec3>& places);

}  // namespace seamwright
