#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/cut/cut_plan.h"
#include "seamwright/wiring/wire_part.h"

namespace seamwright {

/// A piece as it will print: `up` is away from the bed, unit, in the part's frame.
struct PrintedPiece {
  const CutPiece* cut = nullptr;
  Vec3 up;
};

struct RoofOptions {
  double round_mm =
      6;  ///< up to this diameter a lying bore prints round; common practice, no source
};

/// What became of one channel's lying bore in one piece.
struct LyingBore {
  std::size_t channel = 0, piece = 0;  ///< positions in the channels and pieces
  double lying_mm = 0;                 ///< of its way, under 45° to the bed
  double roofed_mm = 0;                ///< of that, with a roof
  double bridge_mm = 0;                ///< what the rest, still round, spans flatter than 45°
  double wall_mm = 0;                  ///< least plastic over the roofs; infinite without
  bool is_refused = false;             ///< booleans refused its roof
};

struct RoofedPart {
  Solid solid;
  std::vector<LyingBore> bores;  ///< wider than `round_mm`, by channel, then piece
};

/// Cuts a roof into each bore, rib's tunnel or spar where it lies while its piece prints: two
/// slopes of 48° that meet over its middle at 1.49 radii, upward as that piece stands, so that none
/// of it hangs flatter than 45° over nothing. Where the plastic left round the roof would be less
/// than the channel asks for, near mouths and seams, and up to `round_mm`, the bore stays round.
/// Done on the whole part, which is then cut by the same plan anew. The round bore stays inside
/// what is cut. Origin {channel, its position}. One pass of booleans. Source of 45°: JOINTS, common
/// practice.
RoofedPart add_roofs(const Solid& wired, const SeamPlan& plan, std::span<const PrintedPiece> pieces,
                     std::span<const Channel> channels, const RoofOptions& options = {});

}  // namespace seamwright
