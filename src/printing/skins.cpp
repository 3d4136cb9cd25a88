#include "printing/skins.h"

#include <iterator>

#include "printing/hatch.h"
#include "printing/middle_line.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using flat::Paths;

constexpr double kWallOverlapRatio = 0.35;  // how far inside the last wall's edge fill lines end
constexpr double kSliverLines = 0.5;        // skins narrower than this many lines are no skins
constexpr double kLoopedLines = 4;          // skins narrower than this many lines are looped

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

void lay_hatch(const Paths& region, LineKind kind, double spacing_mm, const InsideLayer& layer,
               double width_mm, std::vector<Strand>& strands) {
  const Paths within = flat::grown(region, -kWallOverlapRatio * width_mm);
  for (auto& path : hatch(within, {direction_of(layer.index), spacing_mm, 0.25 * width_mm})) {
    strands.push_back({kind, false, width_mm, std::move(path), 0});
  }
}

bool contains(const Paths& region, Vec2 p) {
  const flat::Path at = flat::from_mm({p});
  bool inside = false;
  for (const flat::Path& path : region) {
    if (ClipperLib::PointInPolygon(at.front(), path) != 0) inside = !inside;
  }
  return inside;
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
    if (!contains(layer.above, middle)) line.kind = LineKind::top_skin;
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

void lay_skins(const std::vector<Paths>& skins, const InsideLayer& layer, double width_mm,
               std::vector<Strand>& strands) {
  Paths wide, top;
  for (const Paths& skin : skins) append(lay_narrow_parts(skin, layer, width_mm, strands), wide);
  if (wide.empty()) return;
  for (Paths& part : parts_minus(wide, layer.above, 2 * width_mm)) append(std::move(part), top);
  lay_hatch(top, LineKind::top_skin, width_mm, layer, width_mm, strands);
  lay_hatch(flat::minus(wide, top), LineKind::solid_fill, width_mm, layer, width_mm, strands);
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
  lay_hatch(flat::minus(layer.inside, solid), LineKind::sparse_fill, w / print.fill_ratio, layer, w,
            strands);
}

}  // namespace seamwright
