#include "wiring/way.h"

#include <limits>

#include "wiring/sweep_rings.h"

namespace seamwright::wiring_detail {
namespace {

/// The point at parameter t in [0, 1] between b and c, with neighbours a and d.
Vec3 catmull_rom(Vec3 a, Vec3 b, Vec3 c, Vec3 d, double t) {
  const auto knot = [](Vec3 p, Vec3 q) { return std::max(1e-9, std::sqrt(norm(q - p))); };
  const double t1 = knot(a, b), t2 = t1 + knot(b, c), t3 = t2 + knot(c, d);
  const double x = t1 + t * (t2 - t1);
  const auto mix = [x](Vec3 p, Vec3 q, double from, double to) {
    return p * ((to - x) / (to - from)) + q * ((x - from) / (to - from));
  };
  const Vec3 ab = mix(a, b, 0, t1), bc = mix(b, c, t1, t2), cd = mix(c, d, t2, t3);
  return mix(mix(ab, bc, 0, t2), mix(bc, cd, t1, t3), t1, t2);
}

std::vector<Vec3> through_all(std::span<const Vec3> through, double step_mm) {
  std::vector<Vec3> points{through.front()};
  for (std::size_t i = 0; i + 1 < through.size(); ++i) {
    const Vec3 b = through[i], c = through[i + 1];
    const Vec3 a = i > 0 ? through[i - 1] : b * 2 - c;
    const Vec3 d = i + 2 < through.size() ? through[i + 2] : c * 2 - b;
    const auto steps = static_cast<std::size_t>(std::ceil(std::max(1.0, norm(c - b) / step_mm)));
    for (std::size_t k = 1; k <= steps; ++k) {
      points.push_back(
          catmull_rom(a, b, c, d, static_cast<double>(k) / static_cast<double>(steps)));
    }
  }
  return points;
}

std::vector<Vec3> tangents_of(const std::vector<Vec3>& points) {
  std::vector<Vec3> tangents(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 before = points[i > 0 ? i - 1 : i],
               after = points[i + 1 < points.size() ? i + 1 : i];
    tangents[i] = normalized(after - before);
  }
  return tangents;
}

/// One unit normal a point, turned along the way without twist.
std::vector<Vec3> steady_normals(const Way& way) {
  std::vector<Vec3> normals{any_perpendicular(way.tangents.front())};
  for (std::size_t i = 0; i + 1 < way.points.size(); ++i) {
    const Vec3 step = way.points[i + 1] - way.points[i];
    const double c1 = dot(step, step);
    const Vec3 r = normals[i] - step * (2 / c1 * dot(step, normals[i]));
    const Vec3 t = way.tangents[i] - step * (2 / c1 * dot(step, way.tangents[i]));
    const Vec3 turn = way.tangents[i + 1] - t;
    const double c2 = dot(turn, turn);
    const Vec3 next = c2 > 0 ? r - turn * (2 / c2 * dot(turn, r)) : r;
    normals.push_back(normalized(next - way.tangents[i + 1] * dot(next, way.tangents[i + 1])));
  }
  return normals;
}

}  // namespace

Way smooth_way(std::span<const Vec3> through, double step_mm, double beyond_mm) {
  require(through.size() >= 2, "a way has two ends");
  std::vector<Vec3> points = through_all(through, step_mm);
  if (beyond_mm > 0) {
    const Vec3 first = points.front() + normalized(points.front() - points[1]) * beyond_mm;
    const Vec3 last =
        points.back() + normalized(points.back() - points[points.size() - 2]) * beyond_mm;
    points.insert(points.begin(), first);
    points.push_back(last);
  }
  Way way{std::move(points), {}};
  way.tangents = tangents_of(way.points);
  return way;
}

double length_mm(const Way& way) {
  double sum_mm = 0;
  for (std::size_t i = 0; i + 1 < way.points.size(); ++i)
    sum_mm += norm(way.points[i + 1] - way.points[i]);
  return sum_mm;
}

double least_bend_mm(const Way& way) {
  double least_mm = std::numeric_limits<double>::infinity();
  for (std::size_t i = 1; i + 1 < way.points.size(); ++i) {
    const Vec3 a = way.points[i] - way.points[i - 1], b = way.points[i + 1] - way.points[i];
    const double twice_area = norm(cross(a, b));
    if (twice_area > 1e-9)
      least_mm = std::min(least_mm, norm(a) * norm(b) * norm(a + b) / (2 * twice_area));
  }
  return least_mm;
}

Solid tube_along(const Way& way, double diameter_mm, std::uint32_t channel) {
  const std::size_t sides = side_count(diameter_mm / 2);
  const std::vector<Vec3> normals = steady_normals(way);
  Rings rings;
  for (std::size_t i = 0; i < way.points.size(); ++i) {
    const Vec3 across = cross(way.tangents[i], normals[i]);
    rings.push_back(circle_round(way.points[i], normals[i], across, diameter_mm / 2, sides));
  }
  return sweep_rings(rings, way.points.front(), way.points.back(), {OriginKind::channel, channel});
}

}  // namespace seamwright::wiring_detail
