#pragma once

#include <optional>
#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// The two capped halves of a solid; a half that would be empty is absent.
struct CutHalves {
  std::optional<Solid> above, below;
};

/// Cuts a solid by a plane and caps both halves. Distances within 1e-6 mm count as zero; a vertex
/// at zero is itself the cut point; a face wholly in the plane goes to its material side; the cap
/// is the winding-number fill of the unmatched directed edges in the plane. Where sections cross or
/// touch, the walls are divided with the cap. Guarantees: both halves are Solids; their volumes add
/// up to the input's to 1e-12 of it; faces keep their origin, caps have origin {cap, seam}, also
/// where a later cut divides them; the halves' caps cover each other; a half that would enclose
/// nothing is absent and the other is the input unchanged. The same bytes on any machine of one
/// build. Errors: "cut-failed" for a plane whose normal is not of unit length. O(faces + s log s),
/// s the section's edges.
Result<CutHalves> plane_cut(const Solid& solid, const Plane& plane, SeamId seam);

/// Two solids on two sides of a plane made one again, as after one of two halves was changed: of
/// their caps of that seam, only what the other does not cover is left, filled anew. Guarantees: a
/// Solid of both volumes, to 1e-12 of them; all faces but those caps are unchanged, but where the
/// other's cap ends on their edge. Errors: "join-failed". O(faces + s log s), s the caps' edges.
Result<Solid> join_at_plane(const Solid& above, const Solid& below, const Plane& plane,
                            SeamId seam);

/// The connected solids of a solid: shells grouped by containment (a void belongs to the shell
/// around it), ordered by their least vertex coordinates (x, then y, then z). O(n log n).
std::vector<Solid> split_components(const Solid& solid);

}  // namespace seamwright
