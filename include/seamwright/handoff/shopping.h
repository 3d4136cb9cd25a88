#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/handoff/hand_off.h"

namespace seamwright {

/// How much of a thing: pieces of it, or a length, a volume or a mass, and that in spools when
/// `spool_g` is given. The others are 0.
struct ShoppingAmount {
  std::size_t count = 0;
  double length_mm = 0, volume_ml = 0, mass_g = 0, spool_g = 0;
  std::size_t least_spools = 0;  ///< begun by the printers, whatever the mass
};

/// One thing to buy: how much, and how that was found.
struct ShoppingLine {
  std::string what;
  ShoppingAmount need;
  std::string how;

  std::string amount() const;  ///< "2", "45.6 cm", "4 ml", "30 g"; rounded up
};

/// What each conductor of a channel's wire is cut to: its way and the slack at both ends, rounded
/// up to whole centimetres.
double cut_length_mm(const Channel& channel);

/// What the hand-off's part needs: spools, rods for dowels and spars, magnets, wire by gauge
/// (every conductor as it is cut),
/// lamps and modules, glue, weld filament, filler, primer. Things it needs none of are left out.
std::vector<ShoppingLine> shopping_list(const HandOff& hand_off);

/// One part of a build, `count` times.
struct ShoppingPart {
  std::string name;
  int count = 1;
  std::vector<ShoppingLine> lines;
};

/// The list of a whole build: what is alike is one line, its quantities summed; spools are rounded
/// up once, and are no fewer than `spools_begun`.
std::vector<ShoppingLine> join_shopping(std::span<const ShoppingPart> parts,
                                        std::size_t spools_begun);

/// The same as a CSV file (RFC 4180).
std::string shopping_csv(const std::vector<ShoppingLine>& lines);

/// What there is to finish, from seams, joints and skin.
FinishInput finish_input(const HandOff& hand_off);

}  // namespace seamwright
