#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/joints/flanges.h"

namespace seamwright::job_detail {

/// The cut pieces with the flanges and grooves that the job asks for, and what the joints are told
/// afterwards.
struct ShapedPieces {
  std::vector<CutPiece> cuts;
  std::vector<JointFace> faces;
  std::vector<Flange> flanges;
};

/// Stands flanges on the part along the joints that ask for them, drills them, grooves the shown
/// edges, and cuts it again by the same plan. A flange that a piece no longer fits its printer
/// with, that reaches under its bed, or that the booleans refuse, is left out with a warning and
/// its joint gets a strap; so are grooves. `posed` points into `cuts`. Errors: those of cutting.
Result<ShapedPieces> shape_pieces(HandOff& out, const std::vector<CutPiece>& cuts,
                                  std::span<const PosedPiece> posed, std::vector<JointFace> faces,
                                  const HiddenSkin& hidden, const Run& run);

/// Makes the joints of the flanges flange joints, their screws keys.
void tell_flanges(HandOff& out, std::span<const Flange> flanges);

}  // namespace seamwright::job_detail
