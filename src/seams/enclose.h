#pragma once

#include "seams/search_mesh.h"
#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"

namespace seamwright::search {

struct Swelling {
  double most_mm = 2;
  double share = 1;
};

/// Swells a stand-in until the part lies inside it, so that what fits cut from the stand-in fits
/// cut from the part: a coarse mesh with its corners on the skin is smaller than the part where
/// that is convex, by what a room too tight shows only at the end. Points move along their normals,
/// each part point's nearest face by as much as the point sticks out of it, by `most_mm` at most:
/// what was left out altogether stays out. Points of flat sides stay, or these would be no feet.
/// Facts stay as they are. `share` of the way is gone: a stand-in too coarse would swell so much
/// that what fits the part no longer fits. O(part points · log faces).
void enclose(SearchMesh& mesh, const Solid& part, const Swelling& swelling, const Run& run);

}  // namespace seamwright::search
