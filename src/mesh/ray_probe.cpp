#include "mesh/ray_probe.h"

#include <algorithm>
#include <optional>

namespace seamwright {
namespace {

constexpr std::uint32_t kLeaf = 4;

bool meets(const Box3& box, Vec3 from, Vec3 inverse) {
  double near = 0, far = std::numeric_limits<double>::infinity();
  for (std::size_t axis = 0; axis < 3; ++axis) {
    const double a = (box.low[axis] - from[axis]) * inverse[axis];
    const double b = (box.high[axis] - from[axis]) * inverse[axis];
    // fmin and fmax drop the NaN of a ray that runs in the box's side.
    near = std::fmax(near, std::fmin(a, b));
    far = std::fmin(far, std::fmax(a, b));
  }
  return near <= far;
}

/// Möller and Trumbore, J. Graphics Tools 2(1) (1997) (memory).
std::optional<RayProbe::Hit> meet(Vec3 a, Vec3 b, Vec3 c, Vec3 from, Vec3 direction) {
  const Vec3 ab = b - a, ac = c - a, p = cross(direction, ac);
  const double det = dot(ab, p);
  if (det == 0) return std::nullopt;
  const Vec3 s = from - a;
  const double u = dot(s, p) / det;
  if (!(u >= 0 && u <= 1)) return std::nullopt;
  const Vec3 q = cross(s, ab);
  const double v = dot(direction, q) / det;
  if (!(v >= 0 && u + v <= 1)) return std::nullopt;
  const double distance_mm = dot(ac, q) / det;
  if (!(distance_mm > 0)) return std::nullopt;
  return RayProbe::Hit{0, distance_mm, det < 0};
}

}  // namespace

RayProbe::RayProbe(std::span<const Vec3> points, std::span<const Triangle> triangles)
    : points_(points), triangles_(triangles) {
  std::vector<Vec3> centers;
  centers.reserve(triangles.size());
  for (const Triangle& t : triangles) {
    centers.push_back((points[to_index(t[0])] + points[to_index(t[1])] + points[to_index(t[2])]) /
                      3);
    order_.push_back(static_cast<std::uint32_t>(order_.size()));
  }
  nodes_.reserve(triangles.size() + 2);
  nodes_.emplace_back();
  if (!triangles.empty()) build(0, 0, static_cast<std::uint32_t>(triangles.size()), centers);
}

void RayProbe::build(std::uint32_t node, std::uint32_t first, std::uint32_t count,
                     std::span<const Vec3> centers) {
  Box3 box, middle;
  for (std::uint32_t i = first; i < first + count; ++i) {
    for (VertexId v : triangles_[order_[i]]) box.extend(points_[to_index(v)]);
    middle.extend(centers[order_[i]]);
  }
  nodes_[node].box = box;
  const Vec3 size = middle.size();
  const std::size_t axis = size.x >= size.y && size.x >= size.z ? 0 : size.y >= size.z ? 1 : 2;
  if (count <= kLeaf || !(size[axis] > 0)) {
    nodes_[node].first = first;
    nodes_[node].count = count;
    return;
  }
  const std::uint32_t half = count / 2;
  std::nth_element(
      order_.begin() + first, order_.begin() + first + half, order_.begin() + first + count,
      [&](std::uint32_t a, std::uint32_t b) {
        return centers[a][axis] != centers[b][axis] ? centers[a][axis] < centers[b][axis] : a < b;
      });
  const auto child = static_cast<std::uint32_t>(nodes_.size());
  nodes_[node].first = child;
  nodes_.resize(nodes_.size() + 2);
  build(child, first, half, centers);
  build(child + 1, first + half, count - half, centers);
}

std::vector<RayProbe::Hit> RayProbe::hits(Vec3 from, Vec3 direction) const {
  std::vector<Hit> found;
  const Vec3 inverse{1 / direction.x, 1 / direction.y, 1 / direction.z};
  std::vector<std::uint32_t> open{0};
  while (!open.empty()) {
    const Node& node = nodes_[open.back()];
    open.pop_back();
    if (!meets(node.box, from, inverse)) continue;
    if (node.count == 0 && node.first != 0) open.insert(open.end(), {node.first + 1, node.first});
    for (std::uint32_t i = node.first; i < node.first + node.count; ++i) {
      const Triangle& t = triangles_[order_[i]];
      auto hit = meet(points_[to_index(t[0])], points_[to_index(t[1])], points_[to_index(t[2])],
                      from, direction);
      if (!hit) continue;
      hit->face = order_[i];
      found.push_back(*hit);
    }
  }
  return found;
}

}  // namespace seamwright
