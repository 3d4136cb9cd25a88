#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/joints/key_pieces.h"

namespace seamwright {

/// How the part stands when it is worn or hung: unit, part frame. What is not known is not marked.
struct Bearings {
  std::optional<Vec3> up, front;
};

/// A mark on the hidden skin beside a seam: the piece's own, then its neighbour's, then where known
/// an arrow with U to the part's up (F to its front where up points out of the skin), and L or R
/// for pieces wholly on the wearer's left or right; feet towards the seam. Part frame, mm.
struct SkinMark {
  PieceId piece{};
  std::size_t joint = 0;  ///< position in the faces given
  std::string text;       ///< "A1B2^UL": A1 itself, B2 over the seam; ^ v < > / \ [ ] are arrows
  Vec3 at;                ///< its middle, on the skin
  Vec3 along, out;        ///< unit: the way it reads, and out of the skin
  double height_mm = 0;
  std::vector<Solid> tools;  ///< its strokes, to take from the part before it is cut
};

/// A mark for each side of each joint face that has room on hidden skin beyond the straps: letters
/// of `mark_height_mm`, floors that follow the skin `mark_depth_mm` under it, tools 0.6 mm over it,
/// at least a millimetre of wall left. Readable from outside the hidden skin, never mirrored. Marks
/// of one piece keep clear of each other. Where the long text has no room, the marks alone are
/// taken. Arrows point to within 22.5°. Deterministic on any thread count.
std::vector<SkinMark> plan_skin_marks(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                                      std::span<const JointFace> faces, const HiddenSkin& hidden,
                                      const Joinery& joinery, const Bearings& bearings = {},
                                      const Run& run = {});

}  // namespace seamwright
