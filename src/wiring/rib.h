#pragma once

#include "seamwright/query/ray_tree.h"
#include "wiring/skin_way.h"

namespace seamwright::wiring_detail {

enum class RibKind : std::uint8_t { tunnel, trough, clips };

/// One end of a ridge: open (the mouth flares), or in a pocket's seat, lifted so that the tunnel
/// meets the room behind the module.
struct RibEnd {
  bool is_open = true;
  double lift_mm = 0;
  double seat_mm = 0;  ///< from the seat's axis to a little outside its boss
};

struct RibShape {
  RibKind kind = RibKind::tunnel;
  double bore_mm = 5;
  double sink_mm = 1.5;       ///< how deep the ridge's underside stands in the wall
  double reach_mm = 8;        ///< how far below its way the ridge may reach for the skin
  double clip_pitch_mm = 60;  ///< between the middles of clips
  RibEnd from, to;
  std::uint32_t channel = 0;
};

/// A ridge and the tunnel in it, not united yet: `ridges` are added, `tunnel` is taken.
struct Rib {
  std::vector<Solid> ridges;
  std::vector<Solid> tunnels;
  std::vector<Vec3> centre;                       ///< the tunnel's centre line, from end to end
  double height_mm = 0;                           ///< of the ridge over the skin, at most
  double lid_width_mm = 0, lid_thickness_mm = 0;  ///< troughs only
  std::vector<Vec3> lid_way, lid_ups;             ///< its underside's middle, and up there
  double lift_mm = 0;  ///< how far the tunnel had to be lifted over bumps
};

/// Ridge faces have origin {channel, channel + this}, tunnel walls {channel, channel}.
inline constexpr std::uint32_t kRidgeOrigin = 0x40000000;

/// Draws the ridge along a way: half-round on straight sides, 2 mm of plastic beside the bore, 1.7
/// over it and 0.5 under it; its foot a chamfer whose corner lies 0.4 mm under the skin, its
/// underside following the skin by rays. Open ends flare over the last 8 mm. A trough is nearly
/// square, open at the top with a ledge for a lid; clips are short troughs at a pitch. Where the
/// skin falls away beside it the ridge hangs over. Errors: "rib-folds" where sections would cross
/// each other. O(samples). Source: the project's own measurements (JOINTS).
Result<Rib> draw_rib(const RayTree& body, const SkinWay& way, const RibShape& shape);

}  // namespace seamwright::wiring_detail
