#pragma once

#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/AABB_triangle_primitive.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>
#include <tuple>

#include "joints/random_plan.h"

// Distances round keys as CGAL's box tree finds them, apart from the program's own trees.

namespace seamwright::testing {

using TreeKernel = CGAL::Exact_predicates_inexact_constructions_kernel;

using Corners = std::array<Vec3, 3>;

/// Some faces of a solid, for distances.
class JudgeTree {
 public:
  JudgeTree(const Solid& solid,
            const std::function<bool(const Origin&, const Corners&)>& is_wanted) {
    for (std::size_t f = 0; f < solid.face_count(); ++f) {
      const auto c = solid.corners(to_id<FaceId>(f));
      if (!is_wanted(solid.origins()[f], c)) continue;
      const TreeKernel::Triangle_3 triangle(at(c[0]), at(c[1]), at(c[2]));
      if (!triangle.is_degenerate()) triangles_.push_back(triangle);
    }
    tree_.rebuild(triangles_.begin(), triangles_.end());
    if (!triangles_.empty()) tree_.accelerate_distance_queries();
  }
  JudgeTree(const JudgeTree&) = delete;
  bool is_empty() const { return triangles_.empty(); }
  double distance_mm(Vec3 p) const { return std::sqrt(tree_.squared_distance(at(p))); }

 private:
  using Triangles = std::vector<TreeKernel::Triangle_3>;
  using Primitive = CGAL::AABB_triangle_primitive<TreeKernel, Triangles::const_iterator>;
  static TreeKernel::Point_3 at(Vec3 p) { return {p.x, p.y, p.z}; }
  Triangles triangles_;
  CGAL::AABB_tree<CGAL::AABB_traits<TreeKernel, Primitive>> tree_;
};

/// The faces of one key in one piece.
inline std::vector<std::array<Vec3, 3>> key_faces(const Solid& solid, std::uint32_t key) {
  std::vector<std::array<Vec3, 3>> faces;
  for (std::size_t f = 0; f < solid.face_count(); ++f)
    if (solid.origins()[f] == Origin{OriginKind::key, key})
      faces.push_back(solid.corners(to_id<FaceId>(f)));
  return faces;
}

/// Points on the faces' edges, a millimetre apart, each edge once of the two faces beside it.
inline std::vector<Vec3> points_on(const std::vector<std::array<Vec3, 3>>& faces) {
  std::vector<Vec3> points;
  for (const auto& face : faces) {
    for (std::size_t i = 0; i < 3; ++i) {
      const Vec3 a = face[i], b = face[(i + 1) % 3];
      if (std::tie(b.x, b.y, b.z) < std::tie(a.x, a.y, a.z)) continue;
      const int n = std::max(1, static_cast<int>(std::ceil(norm(b - a))));
      for (int k = 0; k < n; ++k) points.push_back(a + (b - a) * (static_cast<double>(k) / n));
    }
  }
  return points;
}

/// Whether a face is a wall along the axis, no floor, tip or bevel.
inline bool is_along(const Corners& face, Vec3 axis) {
  const Vec3 normal = normalized(cross(face[1] - face[0], face[2] - face[0]));
  return std::abs(dot(normal, axis)) < 0.01;
}

/// Whether a key's hole is printed lying: its axis within 45° of the level of the bed.
inline bool is_lying(const Pose& pose, Vec3 axis) {
  const Vec3 on_bed = pose.bed_from_part.apply(axis) - pose.bed_from_part.apply({});
  return std::abs(on_bed.z) < std::sqrt(0.5);
}

/// The gap between a key and its hole in one piece, per side, half way down; nothing where the
/// piece has no hole for it. Rods are as thick as they are named; pins and tongues as they are.
inline std::optional<double> gap_at_key_mm(const KeyedPieces& out, const Joint& joint,
                                           const Key& key, std::uint32_t id, PieceId piece) {
  if (key.male == piece) return {};
  const Solid& solid = out.solids[to_index(piece)];
  const JudgeTree hole(solid, [&](const Origin& o, const Corners& face) {
    return o == Origin{OriginKind::key, id} && is_along(face, key.axis);
  });
  if (hole.is_empty()) return {};
  const double into = (piece == joint.face.above ? 1 : -1) * key.depth_mm / 2;
  const Vec3 middle = key.at + key.axis * into;
  if (!key.male) return hole.distance_mm(middle) - key.diameter_mm / 2;
  const auto male = key_faces(out.solids[to_index(*key.male)], id);
  double least_mm = 1e9, radius_mm = 0;
  for (const auto& face : male) {
    if (!is_along(face, key.axis)) continue;  // a tip
    const Vec3 center = (face[0] + face[1] + face[2]) / 3;
    least_mm = std::min(least_mm, hole.distance_mm(center));
    for (Vec3 p : face) {
      const Vec3 from = p - key.at;
      radius_mm = std::max(radius_mm, norm(from - key.axis * dot(from, key.axis)));
    }
  }
  return key.kind == KeyKind::pin ? hole.distance_mm(middle) - radius_mm : least_mm;
}

/// What a joint's holes in a piece keep their wall to: all of the bare piece within 30 mm of the
/// joint but the seam's cap.
inline bool is_near_joint(const Corners& face, const Box3& joint) {
  constexpr double kReach_mm = 30;
  Box3 box;
  for (Vec3 p : face) box.extend(p);
  for (std::size_t i = 0; i < 3; ++i)
    if (box.low[i] > joint.high[i] + kReach_mm || box.high[i] < joint.low[i] - kReach_mm)
      return false;
  return true;
}

inline JudgeTree skin_near_joint(const Solid& bare, SeamId seam, const Box3& joint) {
  const Origin cap{OriginKind::cap, static_cast<std::uint32_t>(seam)};
  return JudgeTree(bare, [&](const Origin& o, const Corners& face) {
    return !(o == cap) && is_near_joint(face, joint);
  });
}

/// The least plastic round a key's hole in one piece, to its skin and to all other keys; half a
/// millimetre from the mouth, whose bevel is no wall. At most `far_mm`.
inline double wall_at_key_mm(const JudgeTree& skin, const Solid& keyed, const Key& key,
                             std::uint32_t id, double far_mm) {
  const JudgeTree others(keyed, [&](const Origin& o, const Corners&) {
    return o.kind == OriginKind::key && o.id != id && o.id != kReliefOriginId;
  });
  double least_mm = far_mm;
  for (Vec3 p : points_on(key_faces(keyed, id))) {
    if (std::abs(dot(p - key.at, key.axis)) < 0.5) continue;
    if (!skin.is_empty()) least_mm = std::min(least_mm, skin.distance_mm(p));
    if (!others.is_empty()) least_mm = std::min(least_mm, others.distance_mm(p));
  }
  return least_mm;
}

}  // namespace seamwright::testing
