#include "joints/surroundings.h"

#include <algorithm>

namespace seamwright::joints {
namespace {

constexpr std::uint32_t kLeafSize = 4;

double box_distance2_mm2(const Box3& box, Vec3 p) {
  const double x = std::max({box.low.x - p.x, 0.0, p.x - box.high.x});
  const double y = std::max({box.low.y - p.y, 0.0, p.y - box.high.y});
  const double z = std::max({box.low.z - p.z, 0.0, p.z - box.high.z});
  return x * x + y * y + z * z;
}

double segment_distance2_mm2(Vec3 a, Vec3 b, Vec3 p) {
  const Vec3 along = b - a;
  const double length2 = dot(along, along);
  const double t = length2 > 0 ? std::clamp(dot(p - a, along) / length2, 0.0, 1.0) : 0.0;
  const Vec3 gap = p - (a + along * t);
  return dot(gap, gap);
}

double triangle_distance2_mm2(const std::array<Vec3, 3>& t, Vec3 from) {
  const Vec3 normal = cross(t[1] - t[0], t[2] - t[0]);
  const double length2 = dot(normal, normal);
  const auto is_left = [&](Vec3 a, Vec3 b) { return dot(cross(b - a, from - a), normal) >= 0; };
  if (length2 > 0 && is_left(t[0], t[1]) && is_left(t[1], t[2]) && is_left(t[2], t[0])) {
    const double height = dot(from - t[0], normal);
    return height * height / length2;
  }
  return std::min({segment_distance2_mm2(t[0], t[1], from), segment_distance2_mm2(t[1], t[2], from),
                   segment_distance2_mm2(t[2], t[0], from)});
}

/// A face in the plane's coordinates, as a box.
Box3 flat_box(const std::array<Vec3, 3>& face, const PlaneFrame& frame) {
  Box3 box;
  for (Vec3 p : face) {
    const Vec2 q = frame.flatten(p);
    box.extend({q.x, q.y, dot(p - frame.origin, frame.normal)});
  }
  return box;
}

bool overlap(const Box3& a, const Box3& b) {
  return a.low.x <= b.high.x && b.low.x <= a.high.x && a.low.y <= b.high.y && b.low.y <= a.high.y &&
         a.low.z <= b.high.z && b.low.z <= a.high.z;
}

}  // namespace

double triangle_distance_mm(const std::array<Vec3, 3>& triangle, Vec3 from) {
  return std::sqrt(triangle_distance2_mm2(triangle, from));
}

Surroundings::Surroundings(const Solid& piece, SeamId cap, const PlaneFrame& frame,
                           const Region2& region, double reach_mm) {
  Box3 wanted;
  for (Vec2 p : region.outer) wanted.extend({p.x, p.y, 0});
  const Vec3 reach{reach_mm, reach_mm, reach_mm};
  wanted = {wanted.low - reach, wanted.high + reach};
  const Origin own{OriginKind::cap, static_cast<std::uint32_t>(cap)};
  for (std::size_t f = 0; f < piece.face_count(); ++f) {
    const FaceId id = to_id<FaceId>(f);
    if (piece.origin(id) == own) continue;
    const std::array<Vec3, 3> corners = piece.corners(id);
    if (overlap(flat_box(corners, frame), wanted)) faces_.push_back(corners);
  }
  if (!faces_.empty()) build(0, static_cast<std::uint32_t>(faces_.size()));
}

std::uint32_t Surroundings::build(std::uint32_t first, std::uint32_t count) {
  const auto index = static_cast<std::uint32_t>(nodes_.size());
  nodes_.push_back({});
  Box3 box;
  for (std::uint32_t i = first; i < first + count; ++i) {
    for (Vec3 p : faces_[i]) box.extend(p);
  }
  nodes_[index].box = box;
  if (count <= kLeafSize) {
    nodes_[index].first = first;
    nodes_[index].count = count;
    return index;
  }
  const Vec3 size = box.size();
  const std::size_t axis = size.x >= size.y && size.x >= size.z ? 0 : size.y >= size.z ? 1 : 2;
  const auto begin = faces_.begin() + first, middle = begin + count / 2;
  std::nth_element(begin, middle, begin + count, [axis](const auto& a, const auto& b) {
    return a[0][axis] + a[1][axis] + a[2][axis] < b[0][axis] + b[1][axis] + b[2][axis];
  });
  build(first, count / 2);
  const std::uint32_t right = build(first + count / 2, count - count / 2);
  nodes_[index].right = right;
  return index;
}

double Surroundings::nearest_mm(Vec3 from, double limit_mm, double enough_mm) const {
  if (nodes_.empty()) return limit_mm;
  double nearest2 = limit_mm * limit_mm;
  const double enough2 = enough_mm * enough_mm;
  std::array<std::pair<std::uint32_t, double>, 64> open{};
  std::size_t depth = 0;
  open[depth++] = {0, box_distance2_mm2(nodes_[0].box, from)};
  while (depth > 0) {
    const auto [index, distance2] = open[--depth];
    if (distance2 >= nearest2) continue;
    const Node& node = nodes_[index];
    for (std::uint32_t i = node.first; i < node.first + node.count; ++i) {
      nearest2 = std::min(nearest2, triangle_distance2_mm2(faces_[i], from));
    }
    if (nearest2 < enough2) break;
    if (node.count > 0) continue;
    const std::uint32_t left = index + 1, right = node.right;
    const std::pair a{left, box_distance2_mm2(nodes_[left].box, from)},
        b{right, box_distance2_mm2(nodes_[right].box, from)};
    open[depth++] = a.second <= b.second ? b : a;
    open[depth++] = a.second <= b.second ? a : b;
  }
  return nearest2 < limit_mm * limit_mm ? std::sqrt(nearest2) : limit_mm;
}

bool Surroundings::keeps(Vec3 from, double wall_mm) const {
  return nearest_mm(from, wall_mm, wall_mm) >= wall_mm;
}

}  // namespace seamwright::joints
