#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/mesh/solid.h"
#include "seamwright/wiring/wire_part.h"

namespace seamwright {

/// A trough's lid, or a length of it, as it is printed: flat on the bed, its box's low corner at
/// (0, 0, 0). It has the trough's sideways bends; into its ups and downs it is bent when laid in.
struct ChannelLid {
  std::string mark;         ///< "L1": one count for all lids
  std::size_t channel = 0;  ///< position in WiredPart::channels
  Solid solid;
  double length_mm = 0;  ///< along its middle
};

/// The lids of all troughs, in the order of the channels and of their ways, developed into the
/// plane: steps along the way keep their length, turns about the trough's up keep their angle.
/// Guarantees: closed; as wide and thick as the channel's `lid_mm`; lengths of one trough add up to
/// `lid_mm.x`; each fits a square of `longest_mm` when that is 30 mm or more. Origin {channel, its
/// position}. O(samples).
std::vector<ChannelLid> lids_of(std::span<const Channel> channels, double longest_mm);

}  // namespace seamwright
