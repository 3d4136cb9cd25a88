#pragma once

#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// One kind of repair that was made.
struct MendStep {
  std::string code;  ///< "weld", "drop-duplicates", "drop-degenerate", "drop-hanging-walls",
                     ///< "orient", "stitch", "fill-holes", "fill-large-holes", "turn-outward"
  std::size_t count = 0;
  std::string detail;  ///< "at 0.0006 mm", "largest hole 41 mm round"
};

/// What a step of that code does, to be counted: "small holes filled".
std::string mend_words(const std::string& code);

struct Mended {
  Solid solid;
  std::vector<MendStep> steps;  ///< empty: the mesh was sound
};

/// Makes a Solid of a soup, in order and only as far as needed: drop degenerate faces and
/// duplicates, weld within a tolerance tried from exact upward to 1e-4 of the size, orient shells
/// consistently and outward, stitch, fill holes. Origins are kept; filled faces take the origin of
/// a neighbour. Errors: "cannot-mend" naming up to ten places and the remedy;
/// "sheet-without-thickness" for an open surface that no hole filling makes a body of.
Result<Mended> mend(TriangleSoup soup, const Run& run = {});

}  // namespace seamwright
