#pragma once

#include "seamwright/handoff/hand_off.h"
#include "seamwright/joints/flanges.h"
#include "seamwright/joints/laps.h"
#include "seamwright/joints/skin_marks.h"

namespace seamwright::job_detail {

/// The cut pieces with the flanges and grooves that the job asks for, and what the joints are told
/// afterwards.
struct ShapedPieces {
  std::vector<CutPiece> cuts;
  std::vector<JointFace> faces;
  std::vector<JointFace> before;  ///< the faces before laps took half of them
  std::vector<Flange> flanges;
  std::vector<Lap> laps;
};

/// Stands flanges on the part along the joints that ask for them, drills them, grooves the shown
/// edges, cuts it again by the same plan, and shapes laps. A flange that a piece no longer fits its
/// printer with, that reaches under its bed, or that the booleans refuse, is left out with a
/// warning and its joint gets a strap; so are grooves. `posed` points into `cuts`. Errors: those of
/// cutting.
Result<ShapedPieces> shape_pieces(HandOff& out, const std::vector<CutPiece>& cuts,
                                  std::span<const PosedPiece> posed, std::vector<JointFace> faces,
                                  const HiddenSkin& hidden, const Bearings& bearings,
                                  const Run& run);

/// Makes the joints of the flanges flange joints, their screws keys.
void tell_flanges(HandOff& out, std::span<const Flange> flanges);

/// Makes the joints of the laps lap joints, with the joint faces as they were before.
void tell_laps(HandOff& out, std::span<const Lap> laps, std::span<const JointFace> before);

}  // namespace seamwright::job_detail
