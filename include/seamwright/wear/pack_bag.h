#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "seamwright/core/describe.h"
#include "seamwright/core/ids.h"
#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// `[[bag]]`: what travels must go into these.
struct BagChoice {
  std::string name = "checked bag";
  Vec3 inner_mm{700, 450, 280};
  double most_kg = 23;
  double padding_mm = 5;  ///< kept above and below each thing
};

template <class Settings, class Visitor>
requires same_settings<Settings, BagChoice>
void describe(Settings& bag, Visitor&& visit) {
  visit(bag.name, FieldDoc{"name", "what you call it", "yours"});
  visit(bag.inner_mm,
        FieldDoc{"inner_mm", "inner width, depth and height",
                 "assumption: 143 cm in sum; carriers' rule is 158 cm outside", 20, 5000});
  visit(bag.most_kg,
        FieldDoc{"most_kg", "most it may hold, bag not counted",
                 "carriers' pages: 23 kg with the bag, a rule and not a law", 0.1, 1000});
  visit(bag.padding_mm,
        FieldDoc{"padding_mm", "kept above and below each thing", "assumption", 0, 100});
}

/// One thing to pack: solids that stay together, in one frame.
struct BagItem {
  std::string name;
  std::vector<const Solid*> solids;
  double mass_g = 0;
};

struct BagPlace {
  std::size_t item = 0;
  Transform bag_from_part;
};

struct Packing {
  std::vector<BagPlace> places;  ///< in the order of putting in
  std::vector<std::size_t> left_out;
  double mass_g = 0;
  double filled_mm = 0;  ///< height used
  bool fits() const { return left_out.empty(); }
};

struct PackOptions {
  int cells_a_side = 40;  ///< of the height maps, along the bag's longest side
  int try_count = 6;      ///< orders tried until all is in
  std::uint64_t seed = 1;
};

/// Packs things into a bag by height maps: each is turned 48 ways (each side down, eighth turns)
/// and let down where its top comes lowest; an upper thing's hollow takes a lower thing's hill, so
/// shells nest. Where all things are boxes in a common grid and that fails, the search is complete
/// (fill_box). Guarantees: things lie within the bag and don't meet, `padding_mm` between them up
/// and down (not in the complete search, where a box is its own padding); the mass limit is kept;
/// the same on any thread count. Not every packing is found. Errors: "cancelled". Cost: 0.1 to 1 s
/// a thing and try.
Result<Packing> pack_bag(std::span<const BagItem> items, const BagChoice& bag,
                         const PackOptions& options = {}, const Run& run = {});

/// What travels how: pieces that stay together, and the bags they went into.
struct PackedBag {
  BagChoice bag;
  Packing packing;  ///< items are positions in PackedBags::groups
};
struct PackedBags {
  std::vector<std::vector<std::size_t>> groups;  ///< pieces of each
  std::vector<PackedBag> bags;
  std::vector<std::size_t> left_out;  ///< groups
  std::vector<SeamId> more_travel_seams;
  bool is_helped = false;          ///< all fits as shown, when `help_seams` come apart as well
  std::vector<SeamId> help_seams;  ///< the least set found
};

/// What a carrier asks of a checked bag: outer length + width + height at most 1580 mm, 23 kg
/// (carriers' pages, seen; a carrier's rule, not a law). Empty when kept.
std::vector<std::string> carrier_faults(const BagChoice& bag, double mass_g);

}  // namespace seamwright
