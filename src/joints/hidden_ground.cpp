#include "joints/hidden_ground.h"

#include <algorithm>
#include <cmath>
#include <functional>

namespace seamwright::joints {
namespace {

constexpr double kOnSkin_mm = 0.05;
constexpr double kSmoothing_mm = 4, kFineSmoothing_mm = 1;  // to both sides
constexpr std::size_t kBridged = 3;  // samples: a sliver of seen skin does not end a stretch
constexpr std::size_t kLeastPoints = 5;

/// A loop as points `step_mm` apart or a little less; closed, the first point not repeated.
std::vector<Vec2> resampled(const Loop2& loop, double step_mm) {
  std::vector<double> at{0};
  for (std::size_t i = 0; i < loop.size(); ++i)
    at.push_back(at.back() + norm(loop[(i + 1) % loop.size()] - loop[i]));
  const double length = at.back();
  const auto count = static_cast<std::size_t>(std::ceil(length / step_mm));
  std::vector<Vec2> points;
  std::size_t edge = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const double s = length * static_cast<double>(i) / static_cast<double>(count);
    while (edge + 1 < loop.size() && at[edge + 1] <= s) ++edge;
    const double share = (s - at[edge]) / std::max(1e-12, at[edge + 1] - at[edge]);
    points.push_back(loop[edge] + (loop[(edge + 1) % loop.size()] - loop[edge]) * share);
  }
  return points;
}

/// Runs of true in a ring of flags, as first position and length; gaps of `kBridged` are bridged.
std::vector<std::pair<std::size_t, std::size_t>> runs_of(std::vector<char> flags) {
  const std::size_t n = flags.size();
  const auto first_false =
      static_cast<std::size_t>(std::find(flags.begin(), flags.end(), 0) - flags.begin());
  if (first_false == n) return {{0, n}};
  std::vector<std::pair<std::size_t, std::size_t>> runs;
  for (std::size_t k = 0; k < n; ++k) {
    const std::size_t i = (first_false + k) % n;
    if (!flags[i]) continue;
    const std::size_t end = runs.empty() ? 0 : runs.back().first + runs.back().second;
    if (!runs.empty() && first_false + k - end <= kBridged)
      runs.back().second = first_false + k - runs.back().first + 1;
    else
      runs.emplace_back(first_false + k, 1);
  }
  return runs;
}

/// The mean over a window that shrinks towards the ends, so that the ends stay.
std::vector<Vec2> smoothed(const std::vector<Vec2>& points, std::size_t window) {
  std::vector<Vec2> out;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const std::size_t w = std::min({window, i, points.size() - 1 - i});
    Vec2 sum;
    for (std::size_t k = i - w; k <= i + w; ++k) sum = sum + points[k];
    out.push_back(sum / static_cast<double>(2 * w + 1));
  }
  return out;
}

std::vector<EdgePoint> with_outward(const std::vector<Vec2>& points) {
  std::vector<EdgePoint> stretch;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec2 along =
        normalized(points[std::min(i + 2, points.size() - 1)] - points[i < 2 ? 0 : i - 2]);
    stretch.push_back({points[i], {along.y, -along.x}});
  }
  return stretch;
}

std::vector<std::vector<EdgePoint>> stretches_where(const Region2& region,
                                                    const std::function<bool(Vec2)>& is_wanted,
                                                    double step_mm, double smoothing_mm) {
  std::vector<std::vector<EdgePoint>> stretches;
  std::vector<Loop2> loops{region.outer};
  loops.insert(loops.end(), region.holes.begin(), region.holes.end());
  for (const Loop2& loop : loops) {
    const std::vector<Vec2> points = resampled(loop, step_mm);
    std::vector<char> flags;
    for (Vec2 p : points) flags.push_back(is_wanted(p));
    for (const auto& [first, count] : runs_of(std::move(flags))) {
      if (count < kLeastPoints) continue;
      std::vector<Vec2> run;
      for (std::size_t k = 0; k < count; ++k) run.push_back(points[(first + k) % points.size()]);
      const auto window = static_cast<std::size_t>(std::lround(smoothing_mm / step_mm));
      stretches.push_back(with_outward(smoothed(run, window)));
    }
  }
  return stretches;
}

}  // namespace

HiddenGround::HiddenGround(const HiddenSkin& skin) : skin_(skin), tree_(*skin.whole) {
  require(skin.sight.size() == skin.whole->face_count(), "one sight a face of the part");
}

bool HiddenGround::is_hidden(Vec3 p, double reach_mm) const {
  const auto near = tree_.nearest(p, reach_mm);
  return near && skin_.whole->origin(near->face).kind == OriginKind::skin &&
         skin_.sight[to_index(near->face)] <= skin_.most_sight_ratio;
}

bool HiddenGround::is_shown(Vec3 p, double reach_mm) const {
  const auto near = tree_.nearest(p, reach_mm);
  return near && skin_.whole->origin(near->face).kind == OriginKind::skin &&
         skin_.sight[to_index(near->face)] > skin_.most_sight_ratio;
}

std::optional<Vec3> HiddenGround::normal(Vec3 p, double reach_mm) const {
  const auto near = tree_.nearest(p, reach_mm);
  if (!near) return {};
  return normalized(skin_.whole->area_normal(near->face));
}

std::optional<double> HiddenGround::first_hidden_mm(Vec3 from, Vec3 direction) const {
  const auto hit = tree_.first_hit(from, direction, 0);
  if (!hit || hit->from_behind || skin_.whole->origin(hit->face).kind != OriginKind::skin)
    return {};
  if (skin_.sight[to_index(hit->face)] > skin_.most_sight_ratio) return {};
  return hit->distance_mm;
}

double HiddenGround::wall_mm(Vec3 skin, Vec3 normal) const {
  constexpr double kStart_mm = 0.05;
  const auto hit = tree_.first_hit(skin - normal * kStart_mm, -normal, 0);
  return hit ? hit->distance_mm + kStart_mm : 0;
}

bool HiddenGround::is_between(Vec3 a, Vec3 b) const {
  const double length_mm = norm(b - a);
  return length_mm > 0 && tree_.is_blocked(a, (b - a) / length_mm, 0, length_mm);
}

double HiddenGround::height_mm(Vec3 p, double reach_mm) const {
  const auto near = tree_.nearest(p, reach_mm);
  if (!near) return reach_mm;
  const double side = dot(p - near->point, skin_.whole->area_normal(near->face));
  return side < 0 ? -near->distance_mm : near->distance_mm;
}

std::vector<std::vector<EdgePoint>> hidden_stretches(const Region2& region, const PlaneFrame& frame,
                                                     const HiddenGround& ground, double step_mm) {
  return stretches_where(
      region, [&](Vec2 p) { return ground.is_hidden(frame.lift(p), kOnSkin_mm); }, step_mm,
      kSmoothing_mm);
}

std::vector<std::vector<EdgePoint>> shown_stretches(const Region2& region, const PlaneFrame& frame,
                                                    const HiddenGround& ground, double step_mm) {
  return stretches_where(
      region, [&](Vec2 p) { return ground.is_shown(frame.lift(p), kOnSkin_mm); }, step_mm,
      kFineSmoothing_mm);
}

}  // namespace seamwright::joints
