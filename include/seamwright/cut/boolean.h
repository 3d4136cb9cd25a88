#pragma once

#include <optional>
#include <span>
#include <string>

#include "seamwright/core/result.h"
#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// A body that is united with a part or taken from it; `name` says in errors which item of the
/// maker's it is, as `pocket "left lamp"`.
struct Tool {
  std::string name;
  Solid solid;
};

/// The one door to general booleans, for what leaves a cap (bores, pockets, ridges, straps): the
/// body united with all of `added`, and from that all of `taken` taken away. Tools that meet each
/// other are united first, tools apart from each other go in one operation. Each operation:
/// corefine with inexact constructions, collapse and flip triangles flatter than a few µm among the
/// new faces, test for crossings after rounding to float; repeat with other tolerances, then with
/// half of the tools at a time, a single one in the end with exact constructions. Only the faces
/// near the tools take part, when they are less than most of the body. Requires: tools stand at
/// least 0.3 mm through the skin or stay 0.8 mm inside. Guarantees: a Solid; no crossing that
/// involves a new face, also after a float round trip; faces that no tool touches are unchanged to
/// the bit; faces keep their origin, the tools' faces bring theirs; the same on any thread count
/// (crossings are looked for on all of `run`'s). Errors: "boolean-failed" with
/// the place and the tool's name. Cost: O(faces) plus about 0.1 s for a tube of 6 k faces. Source:
/// CGAL Polygon Mesh Processing, corefinement.
Result<Solid> combine(const Solid& body, std::span<const Tool> added, std::span<const Tool> taken,
                      const Run& run = {.thread_count = 1});

/// A place where faces of the solid cross each other once its corners are rounded to float; none
/// for what combine() takes as a tool. O(n log n).
std::optional<Vec3> find_own_crossing(const Solid& solid, const Run& run = {.thread_count = 1});

/// combine() with nameless tools of one kind.
Result<Solid> unite(const Solid& body, std::span<const Solid> tools);
Result<Solid> subtract(const Solid& body, std::span<const Solid> tools);

}  // namespace seamwright
