#include "mesh/polygon.h"

namespace seamwright {
namespace {

constexpr std::size_t kSmall = 64;  // up to here every ear is looked at
constexpr std::size_t kLarge =
    20000;  // above it corners are cut in order: closed, though not always flat

/// A polygon seen along its area vector, counter-clockwise.
struct FlatPolygon {
  std::vector<VertexId> corners;
  std::vector<Vec2> at;
};

Vec3 area_vector(std::span<const VertexId> corners, std::span<const Vec3> points) {
  Vec3 sum;
  const Vec3 first = points[to_index(corners[0])];
  for (std::size_t i = 1; i + 1 < corners.size(); ++i) {
    sum += cross(points[to_index(corners[i])] - first, points[to_index(corners[i + 1])] - first);
  }
  return sum;
}

FlatPolygon flatten(std::span<const VertexId> polygon, std::span<const Vec3> points) {
  FlatPolygon flat;
  for (std::size_t i = 0; i < polygon.size(); ++i) {
    if (polygon[i] != polygon[(i + 1) % polygon.size()]) flat.corners.push_back(polygon[i]);
  }
  if (flat.corners.size() < 4) return flat;
  const Vec3 normal = normalized(area_vector(flat.corners, points));
  const Vec3 u = normal == Vec3{} ? Vec3{1, 0, 0} : any_perpendicular(normal);
  const Vec3 v = normal == Vec3{} ? Vec3{0, 1, 0} : cross(normal, u);
  const Vec3 origin = points[to_index(flat.corners[0])];
  for (VertexId c : flat.corners) {
    const Vec3 p = points[to_index(c)] - origin;
    flat.at.push_back({dot(p, u), dot(p, v)});
  }
  return flat;
}

bool is_inside(Vec2 p, Vec2 a, Vec2 b, Vec2 c) {
  return cross(b - a, p - a) >= 0 && cross(c - b, p - b) >= 0 && cross(a - c, p - c) >= 0;
}

/// How good the ear at `i` is: its area over the square of its longest side; 0 when it is none.
double ear_quality(const FlatPolygon& rest, std::size_t i) {
  const std::size_t n = rest.at.size(), before = (i + n - 1) % n, after = (i + 1) % n;
  const Vec2 a = rest.at[before], b = rest.at[i], c = rest.at[after];
  const double twice = cross(b - a, c - a);
  if (!(twice > 0)) return 0;
  for (std::size_t k = 0; k < n; ++k) {
    if (k == before || k == i || k == after) continue;
    const bool is_corner = rest.at[k] == a || rest.at[k] == b || rest.at[k] == c;
    if (!is_corner && is_inside(rest.at[k], a, b, c)) return 0;
  }
  return twice / std::max({dot(b - a, b - a), dot(c - b, c - b), dot(a - c, a - c)});
}

/// The best-shaped ear of a small polygon; of a large one the first from `from` on, since looking
/// at all would be cubic. Where there is none, any corner.
std::size_t next_ear(const FlatPolygon& rest, std::size_t from) {
  const std::size_t n = rest.at.size();
  std::size_t best = from % n;
  double best_quality = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t at = (from + i) % n;
    const double quality = ear_quality(rest, at);
    if (quality <= best_quality) continue;
    best_quality = quality;
    best = at;
    if (n > kSmall) break;
  }
  return best;
}

}  // namespace

std::vector<Triangle> triangulate_polygon(std::span<const VertexId> polygon,
                                          std::span<const Vec3> points) {
  FlatPolygon rest = flatten(polygon, points);
  std::vector<Triangle> triangles;
  std::size_t from = 1;
  while (rest.corners.size() > 3) {
    const std::size_t n = rest.corners.size();
    const std::size_t ear = n > kLarge ? 1 : next_ear(rest, from);
    triangles.push_back(
        {rest.corners[(ear + n - 1) % n], rest.corners[ear], rest.corners[(ear + 1) % n]});
    rest.corners.erase(rest.corners.begin() + static_cast<std::ptrdiff_t>(ear));
    rest.at.erase(rest.at.begin() + static_cast<std::ptrdiff_t>(ear));
    from = ear +
           1;  // past the new edge, so that a round polygon is halved again and again, not fanned
  }
  if (rest.corners.size() == 3) {
    triangles.push_back({rest.corners[0], rest.corners[1], rest.corners[2]});
  }
  return triangles;
}

}  // namespace seamwright
