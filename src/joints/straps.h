#pragma once

#include "joints/face_context.h"
#include "joints/strap_band.h"

namespace seamwright::joints {

/// The straps of a plan, with how far they cover what they were asked to.
struct Straps {
  std::vector<LoosePart> parts;    ///< in the order of the joints
  std::vector<double> hidden_mm;   ///< one a joint face: its edge along hidden skin
  std::vector<double> covered_mm;  ///< one a joint face: of it, under straps
  std::vector<double> width_mm;    ///< one a joint face: of its straps, across the seam
};

/// Lays straps over the joint faces named in `wanted` (positions in `contexts`), the shortest edge
/// first: it has no other place for one, while a long edge loses a few millimetres, on hidden skin
/// only, 2 mm or more from each other. Deterministic on any thread count. Where the
/// skin is too steep for the full width (square to the seam's plane, so far more along leaning
/// skin), narrower ones are tried. O(faces log faces) for the trees, then about 2 ms per 100 mm of
/// seam.
Straps lay_straps(const JointInputs& inputs, std::span<const std::optional<FaceContext>> contexts,
                  std::span<const std::size_t> wanted, const HiddenSkin& skin,
                  const StrapRules& rules, const Run& run);

}  // namespace seamwright::joints
