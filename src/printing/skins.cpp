#include "printing/skins.h"

#include "printing/hatch.h"
#include "printing/walls.h"
#include "seamwright/core/parallel.h"

namespace seamwright {
namespace {

using flat::Paths;

constexpr double kWallOverlapRatio = 0.35;  // how far inside the last wall's edge fill lines end
constexpr double kSliverRatio = 0.25;       // skins narrower than half a line are no skins
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

void lay_narrow_skin(const Paths& skin, const InsideLayer& layer, double width_mm,
                     std::vector<Strand>& strands) {
  const WallPlan plan{width_mm,
                      static_cast<std::size_t>(kLoopedLines),
                      LineKind::solid_fill,
                      LineKind::solid_fill,
                      LineKind::solid_fill,
                      LineKind::solid_fill};
  const std::size_t first = strands.size();
  for (const Paths& part : flat::islands(skin)) {
    if (flat::area_mm2(part) >= width_mm * width_mm / 2) lay_walls(part, plan, strands);
  }
  for (std::size_t i = first; i < strands.size(); ++i) {
    const auto& points = strands[i].points;
    if (!contains(layer.above, points[points.size() / 2])) strands[i].kind = LineKind::top_skin;
  }
}

void lay_skin(const Paths& skin, const InsideLayer& layer, const PrintSettings& print,
              std::vector<Strand>& strands) {
  const double w = print.line_width_mm, half_mm = kLoopedLines / 2 * w;
  const Paths core = flat::grown(skin, -half_mm);
  Paths wide = core.empty() ? Paths{} : flat::common(flat::grown(core, 1.02 * half_mm), skin);
  const Paths narrow = flat::opened(flat::minus(skin, wide), kSliverRatio * w);
  lay_narrow_skin(narrow, layer, w, strands);
  const Paths top = flat::common(flat::opened(flat::minus(wide, layer.above), half_mm / 2), wide);
  lay_hatch(top, LineKind::top_skin, w, layer, w, strands);
  lay_hatch(flat::minus(wide, top), LineKind::solid_fill, w, layer, w, strands);
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
  Paths skin = layer.covered.empty() || print.fill_ratio >= 1
                   ? layer.inside
                   : flat::opened(flat::minus(layer.inside, layer.covered), kSliverRatio * w);
  if (!skin.empty()) lay_skin(skin, layer, print, strands);
  if (print.fill_ratio <= 0 || print.fill_ratio >= 1) return;
  lay_hatch(flat::minus(layer.inside, skin), LineKind::sparse_fill, w / print.fill_ratio, layer, w,
            strands);
}

}  // namespace seamwright
