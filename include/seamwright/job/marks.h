#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/cut/cut_plan.h"
#include "seamwright/cut/seam_plan.h"
#include "seamwright/joints/key_pieces.h"

namespace seamwright {

/// A piece of an earlier plan: its mark, and the half-spaces whose common part it lay in.
struct EarlierPiece {
  std::string mark;
  std::vector<Plane> cell;  ///< the piece lies where every plane's distance is ≤ 0
  double volume_mm3 = 0;    ///< with its keys; 0: not known
  std::vector<KeptKey> keys;
};

/// What marks an earlier hand-off of the same part used.
struct EarlierMarks {
  std::vector<EarlierPiece> pieces;
  std::vector<std::string> retired;  ///< marks of plans before that, whose pieces are gone
};

/// The earlier piece with this mark, or null.
const EarlierPiece* find_piece(const EarlierMarks& earlier, const std::string& mark);

/// The half-spaces of a plan's leaf: the planes on the way from `side` of `seam` up to the root,
/// turned so that the leaf lies below each. Empty without a seam.
std::vector<Plane> leaf_cell(const SeamPlan& plan, std::optional<SeamId> seam, Side side);

/// Short marks, one a piece: A1, A2, …, B1, …: a letter for each region of the tree of at most five
/// pieces, a number within, by the order of the pieces. A piece that overlaps an earlier piece by
/// more than half of its own volume, and more than any other piece does, keeps that piece's mark;
/// an earlier mark is never used for another piece. O(pieces · earlier · faces).
std::vector<std::string> assign_marks(std::span<const CutPiece> pieces,
                                      const EarlierMarks& earlier = {});

}  // namespace seamwright
