#pragma once

#include <cstdint>
#include <limits>
#include <span>
#include <vector>

#include "seamwright/core/region.h"

namespace seamwright {

/// Where pieces may lie: a closed outline (a rectangle, a round bed's polygon, …), counter-
/// clockwise, less the blocked loops (clips, a purge place). Bed coordinates, mm.
struct BedArea {
  Loop2 outline;
  std::vector<Loop2> blocked;
};
BedArea rectangle_bed(Vec2 low, Vec2 high);
/// A round bed as a polygon inscribed in the circle, at most 0.005 mm inside it.
BedArea round_bed(Vec2 middle, double diameter_mm);

/// One thing to lay down: its flat regions, wherever they are now.
struct NestItem {
  std::vector<Region2> outline;
};

/// Where an item goes: a point p of its outline comes to lie at turn(p) + shift.
struct NestPlace {
  std::size_t item = 0;
  Angle turn;
  Vec2 shift;
  Vec2 apply(Vec2 p) const;
};

struct NestOptions {
  double clearance_mm = 4;  ///< between items, and between items and what is blocked
  double cell_mm = 1;       ///< of the grid in which places are sought
  int turn_count = 24;      ///< rotations tried, evenly over the full turn
  int try_count = 1;        ///< orders tried until everything lies within `good_mm`
  double good_mm = std::numeric_limits<double>::infinity();  ///< height of the bed that will do
  std::uint64_t seed = 1;
};

struct Nesting {
  std::vector<NestPlace> places;      ///< of the items that found room, by item
  std::vector<std::size_t> left_out;  ///< items that found none
  double used_mm = 0;  ///< height of the bed that is used, from its low side, clearance included
};

/// Lays items on a bed, turned about the vertical, low places first; the orders tried begin with
/// the given one, then by falling area. Guarantees: items keep `clearance_mm` from each other and
/// from blocked loops and lie within the bed's outline (their cells are disjoint; a cell belongs to
/// an item when its outline, grown by half the clearance, touches it); the same result for the same
/// input. Not every packing that exists is found. O(tries · items · turns · cells) at worst, in
/// practice 1 to 20 ms an item. Source: bottom-left filling, Baker, Coffman, Rivest, SIAM J.
/// Comput. 9 (1980) (memory).
Nesting nest(std::span<const NestItem> items, const BedArea& bed, const NestOptions& options = {});

}  // namespace seamwright
