#include "printing/skins.h"

#include <algorithm>
#include <iterator>

#include "printing/bridges.h"
#include "printing/hatch.h"
#include "printing/middle_line.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using flat::Paths;

constexpr double kWallOverlapRatio = 0.35;  // how far inside the last wall's edge fill lines end
constexpr double kSliverLines = 0.5;        // skins narrower than this many lines are no skins
// Parts narrower than this many lines are looped; off a round number, as walls are multiples of it.
constexpr double kLoopedLines = 4.1;

/// Windows of twice the length: common[i] = windows[i] ∩ windows[i + shift].
std::vector<Paths> doubled(const std::vector<Paths>& windows, std::size_t shift, const Run& run) {
  return map_index(windows.size(), run, [&](std::size_t i) {
    if (run.should_stop() || i + shift >= windows.size()) return Paths{};
    return flat::common(windows[i], windows[i + shift]);
  });
}

Angle direction_of(std::size_t layer) {
  return Angle::degrees(layer % 2 == 0 ? 45 : 135);
}

/// Solid lines from `first` on get the width that makes up the region's area: ends and links would
/// leave it a little short or over.
void fill_exactly(const Paths& region, std::size_t first, std::vector<Strand>& strands) {
  constexpr double kMostOff = 0.25;
  double length_mm = 0;
  for (std::size_t k = first; k < strands.size(); ++k) {
    const std::vector<Vec2>& points = strands[k].points;
    for (std::size_t i = 1; i < points.size(); ++i) length_mm += norm(points[i] - points[i - 1]);
  }
  if (!(length_mm > 0)) return;
  const double usual_mm = strands[first].width_mm;
  const double width_mm = std::clamp(flat::area_mm2(region) / length_mm, (1 - kMostOff) * usual_mm,
                                     (1 + kMostOff) * usual_mm);
  for (std::size_t k = first; k < strands.size(); ++k) strands[k].width_mm = width_mm;
}

void lay_hatch(const Paths& region, LineKind kind, double spacing_mm, const InsideLayer& layer,
               double width_mm, std::vector<Strand>& strands) {
  const Paths within = flat::grown(region, -kWallOverlapRatio * width_mm);
  const std::size_t first = strands.size();
  for (auto& path : hatch(within, {direction_of(layer.index), spacing_mm, 0.25 * width_mm})) {
    strands.push_back({kind, false, width_mm, std::move(path), 0});
  }
  if (kind != LineKind::sparse_fill) fill_exactly(region, first, strands);
}

void append(Paths part, Paths& to) {
  to.insert(to.end(), std::make_move_iterator(part.begin()), std::make_move_iterator(part.end()));
}

/// The parts of region less taken that are at least `least_mm` wide on the whole.
std::vector<Paths> parts_minus(const Paths& region, const Paths& taken, double least_mm) {
  std::vector<Paths> parts = flat::islands_minus(region, taken);
  std::erase_if(parts, [&](const Paths& part) {
    return flat::area_mm2(part) < least_mm * least_mm || mean_width_mm(part) < least_mm;
  });
  return parts;
}

void lay_narrow_skin(const Paths& part, const InsideLayer& layer, double width_mm,
                     std::vector<Strand>& strands) {
  for (Strand& line : side_by_side_lines(part, LineKind::solid_fill, width_mm)) {
    const Vec2 middle = line.points[line.points.size() / 2];
    if (!flat::contains(layer.above, middle)) line.kind = LineKind::top_skin;
    strands.push_back(std::move(line));
  }
}

/// Lays what is narrow of one part of skin and gives back the rest.
Paths lay_narrow_parts(const Paths& skin, const InsideLayer& layer, double width_mm,
                       std::vector<Strand>& strands) {
  const double half_mm = kLoopedLines / 2 * width_mm;
  // A part no wider than two lines on the whole has no room worth an offset to find.
  const bool is_narrow = mean_width_mm(skin) < half_mm || flat::area_mm2(skin) < half_mm * half_mm;
  const Paths core = is_narrow ? Paths{} : flat::grown(skin, -half_mm);
  if (core.empty()) {
    lay_narrow_skin(skin, layer, width_mm, strands);
    return {};
  }
  const Paths wide = flat::common(flat::grown(core, 1.02 * half_mm), skin);
  for (const Paths& part : parts_minus(skin, wide, kSliverLines * width_mm)) {
    lay_narrow_skin(part, layer, width_mm, strands);
  }
  return wide;
}

/// Parts of the inside too narrow for a hatch are filled with lines side by side, as the gaps
/// between walls are: three lines of sparse fill across would be mostly air in a wall that is meant
/// whole. Gives back what is wide. Remnants in corners of wide parts stay with these.
Paths lay_narrow_insides(const Paths& inside, double width_mm, std::vector<Strand>& strands) {
  constexpr double kLongRatio = 4;  // a strip at least this many times as long as wide
  const double half_mm = kLoopedLines / 2 * width_mm;
  const Paths wide = flat::grown(flat::grown(inside, -half_mm), 1.02 * half_mm);
  Paths laid;
  for (Paths& part : parts_minus(inside, wide, kSliverLines * width_mm)) {
    const double mean_mm = mean_width_mm(part);
    if (flat::area_mm2(part) < kLongRatio * mean_mm * mean_mm) continue;
    for (Strand& line : side_by_side_lines(part, LineKind::gap, width_mm))
      strands.push_back(std::move(line));
    append(std::move(part), laid);
  }
  return flat::minus(inside, laid);
}

void lay_sparse(const Paths& region, const InsideLayer& layer, const PrintSettings& print,
                std::vector<Strand>& strands) {
  const double w = print.line_width_mm, spacing_mm = w / print.fill_ratio;
  if (print.fill_pattern == FillPattern::lines)
    return lay_hatch(region, LineKind::sparse_fill, spacing_mm, layer, w, strands);
  // Both directions in each layer, each half as dense.
  for (const std::size_t direction : {0U, 1U}) {
    const InsideLayer turned{layer.inside, layer.covered, layer.above, nullptr, direction};
    lay_hatch(region, LineKind::sparse_fill, 2 * spacing_mm, turned, w, strands);
  }
}

void lay_skins(const std::vector<Paths>& skins, const InsideLayer& layer, double width_mm,
               std::vector<Strand>& strands) {
  Paths wide, top;
  for (const Paths& skin : skins) append(lay_narrow_parts(skin, layer, width_mm, strands), wide);
  if (wide.empty()) return;
  for (Paths& part : parts_minus(wide, layer.above, 2 * width_mm)) append(std::move(part), top);
  lay_hatch(top, LineKind::top_skin, width_mm, layer, width_mm, strands);
  Paths rest = flat::minus(wide, top);
  if (layer.below != nullptr) rest = lay_bridges(rest, *layer.below, width_mm, strands);
  lay_hatch(rest, LineKind::solid_fill, width_mm, layer, width_mm, strands);
}

}  // namespace

std::vector<Paths> covered_insides(const std::vector<Paths>& insides, std::size_t below,
                                   std::size_t above, const Run& run) {
  const std::size_t length = below + 1 + above;
  std::vector<Paths> windows = insides;
  std::size_t reach = 1;
  for (; 2 * reach <= length; reach *= 2) windows = doubled(windows, reach, run);
  return map_index(insides.size(), run, [&](std::size_t i) {
    if (run.should_stop() || i < below || i + above >= insides.size()) return Paths{};
    return flat::common(windows[i - below], windows[i + above + 1 - reach]);
  });
}

void fill_inside(const InsideLayer& layer, const PrintSettings& print,
                 std::vector<Strand>& strands) {
  if (layer.inside.empty()) return;
  const double w = print.line_width_mm;
  const bool is_solid = layer.covered.empty() || print.fill_ratio >= 1;
  const std::vector<Paths> skins = parts_minus(layer.inside, is_solid ? Paths{} : layer.covered,
                                               is_solid ? 0 : kSliverLines * w);
  lay_skins(skins, layer, w, strands);
  if (is_solid || print.fill_ratio <= 0) return;
  Paths solid;
  for (const Paths& skin : skins) append(skin, solid);
  const Paths wide = lay_narrow_insides(flat::minus(layer.inside, solid), w, strands);
  lay_sparse(wide, layer, print, strands);
}

}  // namespace seamwright
