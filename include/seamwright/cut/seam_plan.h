#pragma once

#include <optional>
#include <variant>
#include <vector>

#include "seamwright/core/ids.h"
#include "seamwright/core/result.h"
#include "seamwright/core/vec.h"

namespace seamwright {

/// Which half of its parent a seam (or a piece) lies in: above is where the plane's normal points.
enum class Side : std::uint8_t { above, below };

/// One planar cut. It cuts only the half of its parent that it names (the whole part when it has no
/// parent). Part frame, mm.
struct Seam {
  SeamId id{};
  std::optional<SeamId> parent;
  Side side = Side::above;  ///< meaningless without a parent
  Plane plane;
  bool is_locked = false;  ///< set by the maker: the search leaves it alone
};

/// A plan: a binary tree of seams, parents before children, ids unique and never used again for
/// another seam of the same plan. A half that no seam names is a leaf; its connected solids are
/// pieces. The empty plan leaves the part whole.
struct SeamPlan {
  std::vector<Seam> seams;
  std::uint32_t next_id = 1;
};

struct AddSeam {
  std::optional<SeamId> parent;
  Side side = Side::above;
  Plane plane;
};
struct MoveSeam {
  SeamId seam{};
  Plane plane;
};
/// Removes the seam and everything under it: its half becomes a leaf again.
struct RemoveSeam {
  SeamId seam{};
};
struct LockSeam {
  SeamId seam{};
  bool is_locked = true;
};
using Edit = std::variant<AddSeam, MoveSeam, RemoveSeam, LockSeam>;

/// The one way to change a plan, for the search, the job file and the page alike. Errors:
/// "no-such-seam", "half-taken" (the half has a seam already), "seam-locked", "bad-plane" (the
/// normal is not of unit length to 1e-9). O(seams).
Result<SeamPlan> apply(const SeamPlan& plan, const Edit& edit);

/// The seam with this id, or null. O(seams).
const Seam* find_seam(const SeamPlan& plan, SeamId id);

}  // namespace seamwright
