#pragma once

#include <span>

#include "seamwright/core/region.h"
#include "seamwright/joints/wrong_pairing.h"

namespace seamwright::joints {

/// A joint face as a maker meets it: its outline and its round keys, in its plane's (u, v).
struct FlatFace {
  const Region2* region = nullptr;
  std::vector<FlatKey> keys;
};

// Where keys alone do not tell two faces apart, outlines that do not cover each other do, by eye
// and finger: of every way to put them together, the greater of the worst key's error and of the
// farthest that an outline is from the other.

/// Of a face put on itself turned, by multiples of 30° and 72°, and shifted as is best. Values over
/// `far_mm` are not told apart.
double outlined_turn_misfit_mm(const FlatFace& face, Vec2 center, double hole_extra_mm,
                               double far_mm);

/// Of a face put on another or on its mirror image, their keys laid on each other and then turned
/// and shifted as is best. Values over `far_mm` are not told apart.
double outlined_pairing_misfit_mm(const FlatFace& face, const FlatFace& other, double hole_extra_mm,
                                  double far_mm);

}  // namespace seamwright::joints
