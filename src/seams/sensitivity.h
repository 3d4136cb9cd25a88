#pragma once

#include "seams/confirm.h"

namespace seamwright::search {

/// Fills forward_h and back_h of each seam of a plan: what it would cost to move it alone. O(halves
/// cut anew): two replays of each seam's subtree, in parallel over the seams.
void add_sensitivity(PlannedSeams& planned, const FullPart& full, const SearchSetting& setting,
                     const Run& run);

}  // namespace seamwright::search
