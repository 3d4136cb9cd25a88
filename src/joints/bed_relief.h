#pragma once

#include "joints/cap_work.h"

namespace seamwright::joints {

/// A piece whose cap on the bed has its rim taken off against the first layer's bulge.
struct Relieved {
  Solid solid;
  double added_volume_mm3 = 0;  ///< negative, but for a ramp over hollow skin
  bool is_partial = false;      ///< the rim stays where the skin flares out flat over the bed
};

/// Takes a 45° bevel off the rim of the cap that lies on the bed: the piece is cut `relief_mm` over
/// the bed, and the slab put back as a surface of heights over that section, 0 inside the section
/// less relief_mm on all sides, rising to the section's own outline. A surface of heights can't
/// cross itself. Where the cut would pass a corner of the skin by less than 2e-4 mm it is made up
/// to a tenth lower or higher, so that nothing crosses after rounding to float either. The bevel's
/// faces get `bevel`, the rest stays the seam's cap. Requires: nothing of the solid lies under the
/// plane. Where the skin flares out flatter than 1 in 5 over the bed, the rim stays and the skin up
/// to the relief's height becomes a ramp from it. Errors: "relief-left-out" where the skin leans in
/// as flat as that (the foot would shrink by more than its rim), or nothing of the cap would be
/// left; plane_cut's and mesh_flat's. O(faces).
Result<Relieved> relieve_rim(const Solid& solid, const Plane& plane, Side side, SeamId seam,
                             double relief_mm, Origin bevel);

}  // namespace seamwright::joints
