#include "seamwright/printing/lay_lines.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "printing/bed_lines.h"
#include "printing/flat.h"
#include "printing/order.h"
#include "printing/skins.h"
#include "printing/support.h"
#include "printing/walls.h"
#include "seamwright/core/parallel.h"
#include "seamwright/printing/layers.h"

namespace seamwright {
namespace {

using flat::Paths;

constexpr double kSimplifyMm =
    0.02;  // shorter detail changes no print time, raw loops cost tenfold
constexpr double kBelowBedMm = 0.001;

Error cancelled() {
  return {"cancelled", "stopped while laying lines"};
}

/// What is known of every layer before lines are put in order.
struct Stack {
  std::vector<LayerSlab> slabs;
  std::vector<Paths> outlines;  ///< the part
  std::vector<Paths> insides;   ///< within the walls
  std::vector<std::vector<Strand>> strands;
  std::size_t open_chain_count = 0;
};

Paths outline_of(const LayerLoops& layer) {
  Paths paths;
  for (const Loop2& loop : layer.loops) {
    flat::Path path = flat::from_mm(flat::simplified(loop, kSimplifyMm));
    if (path.size() >= 3) paths.push_back(std::move(path));
  }
  return flat::united(paths);
}

Result<Stack> slice(const Solid& solid, const Transform& bed_from_part, const PrintSettings& print,
                    const Run& run) {
  Box3 box;
  for (const Vec3 p : solid.points()) box.extend(bed_from_part.apply(p));
  if (box.is_empty() || box.low.z < -kBelowBedMm) {
    return Error{"below-bed", fmt::format("the piece reaches {:.3f} mm below the bed", -box.low.z)};
  }
  Stack stack;
  stack.slabs = layer_slabs(box.high.z, print.first_layer_mm, print.layer_mm);
  std::vector<double> heights_mm;
  for (const LayerSlab& slab : stack.slabs) heights_mm.push_back(slab.middle_mm());
  // A piece thinner than half a layer is still printed: as the section through its middle.
  if (heights_mm.size() == 1) heights_mm[0] = std::min(heights_mm[0], box.high.z / 2);
  const Layers layers = slice_layers(solid, bed_from_part, heights_mm, run);
  stack.open_chain_count = layers.open_chain_count;
  double signed_mm2 = 0;
  for (const LayerLoops& layer : layers.layers) {
    for (const Loop2& loop : layer.loops) signed_mm2 += loop_area_mm2(loop);
  }
  if (signed_mm2 < 0) return Error{"inside-out", "the piece's surface faces inward"};
  stack.outlines = map_index(layers.layers.size(), run, [&](std::size_t i) {
    return run.should_stop() ? Paths{} : outline_of(layers.layers[i]);
  });
  return stack;
}

void lay_all_walls(Stack& stack, const PrintSettings& print, const Run& run) {
  const WallPlan plan{print.line_width_mm, static_cast<std::size_t>(print.wall_count)};
  stack.strands.resize(stack.slabs.size());
  stack.insides = map_index(stack.slabs.size(), run, [&](std::size_t i) {
    Paths inside;
    if (run.should_stop()) return inside;
    std::uint32_t number = 0;
    for (const Paths& island : flat::islands(stack.outlines[i])) {
      const std::size_t first = stack.strands[i].size();
      const Paths left = lay_walls(island, plan, stack.strands[i]);
      inside.insert(inside.end(), left.begin(), left.end());
      for (std::size_t k = first; k < stack.strands[i].size(); ++k) {
        stack.strands[i][k].island = number;
      }
      ++number;
    }
    return inside;
  });
}

/// Gives strands from `first` on to the island they lie in.
void assign_islands(const std::vector<Paths>& parts, std::size_t first,
                    std::vector<Strand>& strands) {
  if (parts.size() < 2) return;
  std::size_t last = 0;  // the next strand is most often in the same island
  for (std::size_t k = first; k < strands.size(); ++k) {
    const flat::Path at = flat::from_mm({strands[k].points.front()});
    for (std::size_t n = 0; n < parts.size(); ++n) {
      const std::size_t part = (last + n) % parts.size();
      if (ClipperLib::PointInPolygon(at.front(), parts[part].front()) == 0) continue;
      last = part;
      break;
    }
    strands[k].island = static_cast<std::uint32_t>(last);
  }
}

void fill_all(Stack& stack, const PrintSettings& print, const Run& run) {
  const std::vector<Paths> covered =
      covered_insides(stack.insides, static_cast<std::size_t>(print.bottom_layers),
                      static_cast<std::size_t>(print.top_layers), run);
  const Paths nothing;
  for_each_index(stack.slabs.size(), run, [&](std::size_t i) {
    if (run.should_stop()) return;
    const Paths& above = i + 1 < stack.insides.size() ? stack.insides[i + 1] : nothing;
    const std::size_t first = stack.strands[i].size();
    const Paths* below = i == 0 || print.has_support ? nullptr : &stack.outlines[i - 1];
    fill_inside({stack.insides[i], covered[i], above, below, i}, print, stack.strands[i]);
    assign_islands(flat::islands(stack.outlines[i]), first, stack.strands[i]);
  });
}

void add_support(const Solid& solid, const Transform& bed_from_part, Stack& stack,
                 const PrintSettings& print, const Run& run) {
  auto support = lay_support(solid, bed_from_part, stack.slabs, stack.outlines, print, run);
  for (std::size_t i = 0; i < support.size(); ++i) {
    std::move(support[i].begin(), support[i].end(), std::back_inserter(stack.strands[i]));
  }
}

/// In one thread: each layer starts where the one before it ended, whatever the thread count.
LaidPiece ordered(Stack& stack) {
  LaidPiece piece;
  piece.open_chain_count = stack.open_chain_count;
  std::optional<Vec2> at;
  for (std::size_t i = 0; i < stack.slabs.size(); ++i) {
    LaidLayer layer{stack.slabs[i].bottom_mm, stack.slabs[i].height_mm, {}, {}};
    order_strands(stack.strands[i], at, layer);
    stack.strands[i] = {};
    piece.layers.push_back(std::move(layer));
  }
  return piece;
}

}  // namespace

Result<LaidPiece> lay_lines(const Solid& solid, const Transform& bed_from_part,
                            const PrintSettings& print, const Run& run,
                            std::span<const CornerPad> pads) {
  Result<Stack> sliced = slice(solid, bed_from_part, print, run);
  if (!sliced) return std::move(sliced).error();
  Stack& stack = *sliced;
  lay_all_walls(stack, print, run);
  run.report(0.5);
  fill_all(stack, print, run);
  lay_bed_lines(stack.outlines.front(), print, pads, stack.strands.front());
  if (print.has_support) add_support(solid, bed_from_part, stack, print, run);
  if (run.should_stop()) return cancelled();
  run.report(0.9);
  return ordered(stack);
}

}  // namespace seamwright
