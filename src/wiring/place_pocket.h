#pragma once

#include "seamwright/cut/boolean.h"
#include "seamwright/query/ray_tree.h"
#include "seamwright/wiring/wire_part.h"

namespace seamwright::wiring_detail {

/// A pocket held against the part. Depths are along its axis from the mouth.
struct PlacedPocket {
  Pocket pocket;
  Vec3 across, along;  ///< unit, with the axis right-handed: across × along = axis
  double half_across_mm = 0, half_along_mm = 0;  ///< of the seat, clearance included
  double wall_depth_mm =
      0;  ///< where the axis leaves the wall's other side; infinite in a thick body
  double boss_half_mm = 0;  ///< boss: that much round the seat's middle; 0 for none
  double behind_mm = 0;     ///< room for the cable behind the module
  double room_half_mm = 0;  ///< half that room's width at least: the bores open into it
  double ledge_mm = 0;      ///< the module rests on it: the hole behind is so much narrower
};

/// Finds the pocket's place and axis; of a thin wall's two sides the one that `sight` (one a face,
/// or empty) says is seen, unless a direction is given. Errors: "pocket-no-skin".
Result<PlacedPocket> place_pocket(const PocketSpec& spec, const Solid& part, const RayTree& body,
                                  std::span<const double> sight);

/// Gives the pocket room for bores of `bore_mm` behind its module and, in a thin wall, its boss.
void fit_pocket(PlacedPocket& placed, const PocketSpec& spec, double bore_mm);

/// Whether a plug of that width and height passes the hole behind the module.
bool passes_hole(const PlacedPocket& placed, Vec3 connector_mm);
/// The module's size from which on it would.
double passing_size_mm(const PlacedPocket& placed, const PocketSpec& spec, Vec3 connector_mm);

/// The boss to add, if any, following the wall by rays, and the seat to take. Origin {pocket, id}.
std::vector<Tool> boss_of(const PlacedPocket& placed, const PocketSpec& spec, const RayTree& body,
                          std::uint32_t id);
std::vector<Tool> seat_of(const PlacedPocket& placed, const PocketSpec& spec, std::uint32_t id);

/// The least plastic round the seat below its mouth, in the wired part's own measure: distance from
/// the seat's walls to the skin. O(samples · log n).
double pocket_wall_mm(const PlacedPocket& placed, const RayTree& body);

std::string place_words(Vec3 p);

}  // namespace seamwright::wiring_detail
