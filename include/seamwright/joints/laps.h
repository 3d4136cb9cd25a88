#pragma once

#include <span>
#include <vector>

#include "seamwright/core/result.h"
#include "seamwright/joints/key_pieces.h"

namespace seamwright {

/// How a step lap is made: half the wall of one piece, on the hidden side, reaches over the seam
/// into the other. Assumptions, but for 8 mm, which was measured on a 3 mm shell.
struct LapRules {
  double length_mm = 8;          ///< over the seam
  double least_wall_mm = 4;      ///< thinner walls leave lips that break
  double widest_wall_mm = 20;    ///< wider ones have room for dowels
  double clearance_mm = 0.15;    ///< per side, square to the lap
  double least_stretch_mm = 12;  ///< shorter ones are left out
};

/// One joint's lap. Part frame, mm.
struct Lap {
  std::size_t joint = 0;     ///< position in the faces given
  PieceId male{};            ///< the piece that reaches over
  std::vector<Solid> bands;  ///< what of the part beyond the seam is the male piece's
  std::vector<Solid> rooms;  ///< the same, larger by the clearance: what the other piece gives up
  Vec3 at;                   ///< on the seam's plane
  double length_mm = 0;      ///< along the seam
};

/// Laps for the joint faces named in `wanted`, along their edges on hidden skin, where the wall is
/// as thick as the rules ask, down to the lap's depth no lip is under three tenths of it, and the
/// band does not fold. Steps follow the wall, but never down: the male piece goes on and comes off
/// along the seam's normal without meeting the other. The male piece is the one with the longer
/// lap of those whose joint face is off the bed and that still fit their printer as they stand; a
/// joint without such a piece gets none. Deterministic on any thread
/// count. O(faces log faces).
std::vector<Lap> plan_laps(const SeamPlan& plan, std::span<const PosedPiece> pieces,
                           std::span<const JointFace> faces, std::span<const std::size_t> wanted,
                           const HiddenSkin& hidden, const LapRules& rules, const Run& run = {});

/// The pieces with their laps, by shaping the cutter: a male piece is cut out of `whole` again with
/// its seam moved by the lap's length, less all of that slab that is not band; the piece opposite
/// gives up the rooms. So no faces lie on each other. Crumbs that this cuts off are dropped.
/// Guarantees: each result is one Solid; pieces without a lap come back unchanged; male and female
/// stand the clearance apart along the lap, square to each face of its step and its ends, and at
/// its tip 0.3 mm. Errors: "boolean-failed", "lap-failed" when a piece falls apart. Booleans look
/// only at what lies near the lap; about 1 s a lap of 500 mm in 60 k faces.
Result<std::vector<CutPiece>> lap_pieces(const Solid& whole, const SeamPlan& plan,
                                         std::span<const CutPiece> pieces,
                                         std::span<const JointFace> faces,
                                         std::span<const Lap> laps, const LapRules& rules,
                                         const Run& run = {});

}  // namespace seamwright
