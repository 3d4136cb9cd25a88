#pragma once

#include <string>
#include <vector>

#include "seamwright/handoff/hand_off.h"

namespace seamwright {

/// One thing to buy: how much, and how that was found.
struct ShoppingLine {
  std::string what, amount, how;
};

/// What the hand-off's part needs: spools, rods for dowels, wire by conductor, glue, weld filament,
/// filler, primer. Things it needs none of are left out.
std::vector<ShoppingLine> shopping_list(const HandOff& hand_off);

/// The same as a CSV file (RFC 4180).
std::string shopping_csv(const std::vector<ShoppingLine>& lines);

/// What there is to finish, from seams, joints and skin.
FinishInput finish_input(const HandOff& hand_off);

}  // namespace seamwright
