#pragma once

#include <string>
#include <variant>

#include "seamwright/handoff/hand_off.h"

namespace seamwright {

/// A thing on a bed by its mark: a piece, a loose part or a lid. Throws on an unknown mark.
using PrintedThing = std::variant<const FinishedPiece*, const LoosePart*, const ChannelLid*>;
PrintedThing thing_marked(const HandOff& hand_off, const std::string& mark);

/// "straps/J5a.stl": where a loose part's file lies in the folder.
std::string loose_part_file(const LoosePart& part);

/// The part as its file holds it: on the bed, its box's low corner at the origin, scaled for
/// shrinkage. O(n).
Solid loose_part_in_file(const LoosePart& part, const Material& material);

/// Maps a written file's coordinates to the part's: 16 numbers, row-major (shrinkage included).
std::array<double, 16> part_from_loose_file(const LoosePart& part, const Material& material);

/// Its weight when printed solid, as such thin parts are: volume times density. O(n).
double loose_part_mass_g(const LoosePart& part, const Material& material);

/// What printing it takes; before it was laid, its weight alone. `part` is the hand-off's own.
LoosePrint loose_print(const HandOff& hand_off, const LoosePart& part);

/// "lids/L1.stl": where a trough's lid lies in the folder.
std::string lid_file(const ChannelLid& lid);

/// The lid as its file holds it: flat on the bed, scaled for shrinkage. O(n).
Solid lid_in_file(const ChannelLid& lid, const Material& material);

/// The loose parts and lids and the rods to cut, as CSV (RFC 4180): one row a printed
/// part, one a size of rod.
std::string loose_parts_csv(const HandOff& hand_off);

}  // namespace seamwright
