#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/core/run.h"
#include "seamwright/cut/seam_plan.h"
#include "seamwright/mesh/solid.h"
#include "seamwright/wiring/bundle.h"
#include "seamwright/wiring/wiring_spec.h"

namespace seamwright {

/// A finished way through or over the part. Part frame, mm.
struct Channel {
  std::string name;
  std::string kind = "bore";  ///< "bore", "rib", "trough", "clips" or "spar"
  std::vector<Vec3> path;     ///< centre line, from end to end
  double length_mm = 0;
  double diameter_mm = 0;
  std::string governed_by;   ///< "given", "fill", "bundle", "jam", "connector": what decided it
  double least_wall_mm = 0;  ///< least plastic round it in the wired part, its ends aside
  double least_bend_mm = 0;  ///< least bend radius of the centre line; infinite when straight
  double bend_turn_deg = 0;  ///< sum of all turns: what a pulled wire rubs against
  double off_skin_mm = 0;    ///< ridges: how far the way leaves the skin at most
  double roofed_mm = 0;      ///< so much of a lying bore has a roof (see roofs.h)
  Vec3 lid_mm;               ///< troughs: length, width and thickness of its lid, a flat strip
  std::vector<Vec3> lid_way, lid_ups;  ///< troughs: its underside's middle, and unit vectors up
  std::string from, to;                ///< "pocket left lamp", or a point in words
  WireSpec wire{};                     ///< as asked; of a spar only its wall
  BoreSize size{};                     ///< all zero when only a diameter was given
  std::vector<VoltDrop> drop{};        ///< one entry when amperes are given
};

/// A finished seat. Part frame, mm.
struct Pocket {
  std::string name;
  Vec3 at;    ///< the middle of its mouth, on the skin
  Vec3 axis;  ///< unit, into the part
  PocketShape shape = PocketShape::round;
  Vec3 size_mm;  ///< of the hole: across, along, deep to the end of the cable's room
  double module_depth_mm = 0;
  double reach_mm =
      0;  ///< radius of a ball round `at + axis · size_mm.z / 2` that holds seat and wall
  bool has_boss = false;
  Vec3 along{};        ///< unit, the way of `size_mm.y`
  double side_mm = 0;  ///< plastic beside the seat that belongs to it: its wall, or its boss
};

struct WiredPart {
  Solid solid;  ///< ridges and bosses added, bores and pockets cut; their faces have origin
                ///< {channel, …} or {pocket, position in the job}
  std::vector<Channel> channels;  ///< wires in their order, then spars
  std::vector<Pocket> pockets;
  std::vector<std::string> warnings;
};

/// Leads all wires and rods and sets all pockets, in one pass of booleans, cleaned so that the
/// result has no self-crossing after a float round trip. `sight` has one value a face of the part
/// (who sees it, with the worn side blocked), or is empty: unknown; then whatever needs the hidden
/// side (ridges, troughs, clips) is refused. Without any item the part comes back as it is. With
/// `seams`, wires that meet one at less than 45° are led anew, straight through it, where there is
/// such a way that bends no tighter, keeps off all else and stays as far from the skin's rim.
/// Guarantees: a ball of a channel's diameter passes along its path; at least the asked wall round
/// it; the part is in as many components as before. Errors, each naming the item and the place:
/// "bore-leaves-body", "bore-too-near-skin", "bore-bend-too-tight", "wire-end-inside",
/// "wire-way", "edge-not-found", "rib-no-way", "rib-folds", "hidden-side-unknown",
/// "pocket-no-skin", "pocket-unknown", "connector-does-not-pass", "name-taken", "boolean-failed",
/// "cancelled".
Result<WiredPart> wire_part(const Solid& part, const WiringSpec& spec,
                            std::span<const double> sight = {}, const Run& run = {},
                            const SeamPlan* seams = nullptr);

}  // namespace seamwright
