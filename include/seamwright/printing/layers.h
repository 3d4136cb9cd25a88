#pragma once

#include <span>
#include <vector>

#include "seamwright/core/region.h"
#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// The closed contours of one horizontal plane, in bed coordinates; material on the left of each.
struct LayerLoops {
  double z_mm = 0;
  std::vector<Loop2> loops;
};

struct Layers {
  std::vector<LayerLoops> layers;  ///< one a height asked for
  std::size_t open_chain_count =
      0;  ///< chains that ended at a missing neighbour; 0 for every Solid
};

/// The contours of the solid, moved by `bed_from_part`, at each of `heights_mm`. Chained along mesh
/// edges by the half-open rule (a vertex at z ≥ plane is above), so that no chain of a closed mesh
/// stays open, whichever vertices lie in the plane. Loops start at the lowest face number and are
/// not simplified; touching and overlapping shells give overlapping loops. Requires: heights
/// ascending. Guarantees: the same bits on any thread count. O(faces + crossings), no trees.
Layers slice_layers(const Solid& solid, const Transform& bed_from_part,
                    std::span<const double> heights_mm, const Run& run = {});

/// Thickness and mid-height of the layers that print a piece of the given height: the first of
/// `first_layer_mm`, all others of `layer_mm`, as many as have their middle inside; at least one.
struct LayerSlab {
  double bottom_mm = 0, height_mm = 0;
  double middle_mm() const { return bottom_mm + height_mm / 2; }
};
std::vector<LayerSlab> layer_slabs(double piece_height_mm, double first_layer_mm, double layer_mm);

}  // namespace seamwright
