#include "wiring/smooth_skin_way.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace seamwright::wiring_detail {
namespace {

constexpr double kStepMm = 2;
constexpr double kStationReachMm = 40;
constexpr int kMostRounds = 1200, kTightRounds = 100;

double pull_ratio(int round, int stiffness) {
  const int soft = round << stiffness;
  return soft < 60 ? 0.5 : soft < 200 ? 0.15 : soft < 500 ? 0.03 : 0.0;
}

/// Inner samples that are not held go towards the middle of their neighbours.
void smooth_once(std::vector<Vec3>& points, double ratio, const std::vector<bool>& is_held) {
  std::vector<Vec3> next = points;
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    if (!is_held.empty() && is_held[i]) continue;
    next[i] = points[i] * (1 - ratio) + (points[i - 1] + points[i + 1]) * (ratio / 2);
  }
  points = std::move(next);
}

void pull_to_skin(std::vector<Vec3>& points, const HiddenSkin& skin, double ratio) {
  for (std::size_t i = 1; i + 1 < points.size(); ++i)
    points[i] += (skin.nearest(points[i]).point - points[i]) * ratio;
}

std::vector<Vec3> smooth_normals(const HiddenSkin& skin, std::span<const Vec3> points) {
  constexpr std::ptrdiff_t kReach = 5;  // samples: 10 mm
  std::vector<Vec3> raw, smooth;
  for (const Vec3& p : points) raw.push_back(skin.normal(skin.nearest(p)));
  const auto count = static_cast<std::ptrdiff_t>(points.size());
  for (std::ptrdiff_t i = 0; i < count; ++i) {
    Vec3 sum;
    for (std::ptrdiff_t k = std::max<std::ptrdiff_t>(0, i - kReach);
         k <= std::min(count - 1, i + kReach); ++k)
      sum += raw[static_cast<std::size_t>(k)];
    smooth.push_back(normalized(sum));
  }
  return smooth;
}

/// The shortest way with its passages held, that bends no tighter than wanted: drawn tight at
/// first, then less and less, while bends are limited. Smoothing alone would leave a kink at each
/// end of a passage.
std::vector<Vec3> relaxed_through_passages(const HiddenSkin& skin, std::span<const Vec3> way,
                                           std::span<const Vec3> stations,
                                           const SkinWayOptions& options) {
  std::vector<Vec3> points = resampled(way, kStepMm), ups;
  for (const Passage& passage : options.passages)
    ups.push_back(skin.normal(skin.nearest(passage.at)));
  for (int round = 0; round < kMostRounds; ++round) {
    const std::vector<bool> is_held = samples_held(points, options.passages, kStepMm);
    smooth_once(points,
                round < kTightRounds      ? 0.5
                : round < kMostRounds / 2 ? 0.05
                                          : 0.01,
                is_held);
    const double pull = pull_ratio(round / 2, options.stiffness);
    if (pull > 0 && round % 4 == 0) pull_to_skin(points, skin, pull);
    limit_bends_widely(points, is_held, 1.25 * options.bend_mm);
    hold_in_passages(points, options.passages, ups, kStepMm);
    if (round % 10 != 9) continue;
    for (const Vec3& station : stations) pass_station(points, station, kStepMm);
    points = resampled(points, kStepMm);
    if (round > 2 * kTightRounds && least_bend_mm(points) >= 1.1 * options.bend_mm) break;
  }
  return points;
}

std::vector<Vec3> smoothed(const HiddenSkin& skin, std::span<const Vec3> way,
                           std::span<const Vec3> stations, const SkinWayOptions& options) {
  std::vector<Vec3> points = resampled(way, kStepMm);
  const int least_rounds = 30 << options.stiffness;
  for (int round = 0; round < kMostRounds; ++round) {
    smooth_once(points, 0.5, {});
    const double pull = pull_ratio(round, options.stiffness);
    if (pull > 0 && round % 4 == 0) pull_to_skin(points, skin, pull);
    if (round % 10 != 9) continue;
    for (const Vec3& station : stations) pass_station(points, station, kStepMm);
    points = resampled(points, kStepMm);
    if (round + 1 >= least_rounds && least_bend_mm(points) >= 1.1 * options.bend_mm) break;
  }
  return points;
}

}  // namespace

std::vector<Vec3> resampled(std::span<const Vec3> line, double step_mm) {
  double length_mm = 0;
  for (std::size_t i = 0; i + 1 < line.size(); ++i) length_mm += norm(line[i + 1] - line[i]);
  const auto steps = static_cast<std::size_t>(std::max(2.0, std::round(length_mm / step_mm)));
  const double step = length_mm / static_cast<double>(steps);
  std::vector<Vec3> points{line.front()};
  double passed_mm = 0;
  for (std::size_t i = 0; i + 1 < line.size() && points.size() < steps; ++i) {
    const double leg_mm = norm(line[i + 1] - line[i]);
    while (points.size() < steps &&
           passed_mm + leg_mm >= step * static_cast<double>(points.size())) {
      const double t = (step * static_cast<double>(points.size()) - passed_mm) / leg_mm;
      points.push_back(line[i] + (line[i + 1] - line[i]) * t);
    }
    passed_mm += leg_mm;
  }
  points.push_back(line.back());
  return points;
}

double least_bend_mm(std::span<const Vec3> points) {
  double least_mm = std::numeric_limits<double>::infinity();
  for (std::size_t i = 2; i + 2 < points.size(); ++i) {
    const Vec3 a = points[i] - points[i - 2], b = points[i + 2] - points[i];
    const double twice_area = norm(cross(a, b));
    if (twice_area > 1e-9)
      least_mm = std::min(least_mm, norm(a) * norm(b) * norm(a + b) / (2 * twice_area));
  }
  return least_mm;
}

void pass_station(std::vector<Vec3>& points, Vec3 station, double step_mm) {
  std::size_t nearest = 0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (norm(points[i] - station) < norm(points[nearest] - station)) nearest = i;
  }
  const Vec3 shift = station - points[nearest];
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    const double away_mm =
        step_mm * std::abs(static_cast<double>(i) - static_cast<double>(nearest));
    if (away_mm >= kStationReachMm) continue;
    const double cosine = std::cos(away_mm / kStationReachMm * std::numbers::pi / 2);
    points[i] += shift * (cosine * cosine);
  }
}

std::vector<Vec3> tangents_of(std::span<const Vec3> points) {
  std::vector<Vec3> tangents(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 before = points[i > 0 ? i - 1 : i],
               after = points[std::min(i + 1, points.size() - 1)];
    tangents[i] = normalized(after - before);
  }
  return tangents;
}

SkinWay smooth_on_skin(const HiddenSkin& skin, std::span<const Vec3> way,
                       std::span<const Vec3> stations, const SkinWayOptions& options) {
  std::vector<Vec3> points = options.passages.empty()
                                 ? smoothed(skin, way, stations, options)
                                 : relaxed_through_passages(skin, way, stations, options);
  SkinWay smooth;
  smooth.points = std::move(points);
  smooth.tangents = tangents_of(smooth.points);
  smooth.normals = smooth_normals(skin, smooth.points);
  for (std::size_t i = 0; i < smooth.points.size(); ++i) {
    const Vec3 t = smooth.tangents[i];
    smooth.normals[i] = normalized(smooth.normals[i] - t * dot(smooth.normals[i], t));
    smooth.off_skin_mm = std::max(smooth.off_skin_mm, skin.nearest(smooth.points[i]).distance_mm);
  }
  smooth.bend_mm = least_bend_mm(smooth.points);
  return smooth;
}

}  // namespace seamwright::wiring_detail
