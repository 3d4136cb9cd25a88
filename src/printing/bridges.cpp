#include "printing/bridges.h"

#include <cmath>
#include <optional>

#include "printing/hatch.h"

namespace seamwright {
namespace {

using flat::Paths;

constexpr int kDirections = 8;
constexpr double kLeastWidthLines = 2;
constexpr double kRestLines = 1.5;  // how far a bridge reaches onto what carries it

struct Laid {
  std::vector<std::vector<Vec2>> paths;
  double carried_ratio = 0, mean_mm = 0;
  bool is_better_than(const Laid& other) const {
    constexpr double kSame = 0.02;
    if (std::abs(carried_ratio - other.carried_ratio) > kSame)
      return carried_ratio > other.carried_ratio;
    return mean_mm < other.mean_mm;
  }
};

/// The lines of one direction, unlinked: each is carried when both its ends are.
Laid laid_along(const Paths& part, const Paths& below, Angle direction, double width_mm) {
  Laid laid;
  laid.paths = hatch(part, {direction, width_mm, 0.25 * width_mm});
  std::size_t count = 0, carried = 0;
  const Vec2 along{std::cos(direction.radians()), std::sin(direction.radians())};
  for (const auto& path : laid.paths) {
    for (std::size_t i = 1; i < path.size(); ++i) {
      const Vec2 step = path[i] - path[i - 1];
      if (std::abs(cross(along, step)) > 1e-3 * norm(step)) continue;  // a link
      ++count;
      laid.mean_mm += norm(step);
      carried += flat::contains(below, path[i]) && flat::contains(below, path[i - 1]) ? 1 : 0;
    }
  }
  if (count == 0) return laid;
  laid.mean_mm /= static_cast<double>(count);
  laid.carried_ratio = static_cast<double>(carried) / static_cast<double>(count);
  return laid;
}

void lay_bridge(const Paths& part, const Paths& below, double width_mm,
                std::vector<Strand>& strands) {
  std::optional<Laid> best;
  for (int k = 0; k < kDirections; ++k) {
    Laid laid = laid_along(part, below, Angle::degrees(180.0 * k / kDirections), width_mm);
    if (!laid.paths.empty() && (!best || laid.is_better_than(*best))) best = std::move(laid);
  }
  if (!best) return;
  for (auto& path : best->paths)
    strands.push_back({LineKind::bridge, false, width_mm, std::move(path), 0});
}

}  // namespace

Paths lay_bridges(const Paths& skin, const Paths& below, double line_width_mm,
                  std::vector<Strand>& strands) {
  const double w = line_width_mm;
  const Paths hanging =
      flat::opened(flat::minus(skin, flat::grown(below, 0.1 * w)), kLeastWidthLines / 2 * w);
  if (hanging.empty()) return skin;
  const Paths bridged = flat::common(flat::grown(hanging, kRestLines * w), skin);
  for (const Paths& part : flat::islands(bridged)) lay_bridge(part, below, w, strands);
  return flat::minus(skin, bridged);
}

}  // namespace seamwright
