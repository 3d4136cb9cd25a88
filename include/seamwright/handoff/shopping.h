#pragma once

#include <span>
#include <string>
#include <vector>

#include "seamwright/handoff/hand_off.h"

namespace seamwright {

/// What an amount is counted in. Spools are counted from grams.
enum class ShoppingUnit { count, mm, ml, g, spool };

/// One thing to buy: how much, and how that was found.
struct ShoppingLine {
  std::string what;
  double quantity = 0;  ///< of `unit`; of spools the grams
  ShoppingUnit unit = ShoppingUnit::count;
  std::string how;
  double spool_g = 1000;
  std::size_t least_spools = 0;  ///< begun by the printers, whatever the grams

  std::string amount() const;  ///< "2", "45.6 cm", "4 ml"
};

/// What the hand-off's part needs: spools, rods for dowels and spars, magnets, wire by conductor,
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
