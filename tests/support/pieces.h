#pragma once

#include <gtest/gtest.h>

#include <vector>

#include "seamwright/core/random.h"
#include "seamwright/mesh/solid.h"
#include "seamwright/pose/pose.h"
#include "seamwright/query/hull.h"

namespace seamwright::testing {

/// The solid with every face whose normal is `normal` (to 1e-6) made a cap of `seam`.
inline Solid with_cap(const Solid& solid, Vec3 normal, SeamId seam) {
  std::vector<Origin> origins(solid.origins().begin(), solid.origins().end());
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const Vec3 n = normalized(solid.area_normal(to_id<FaceId>(f)));
    if (dot(n, normalized(normal)) > 1 - 1e-12) {
      origins[f] = {OriginKind::cap, static_cast<std::uint32_t>(seam)};
    }
  }
  return Solid::adopt({solid.points().begin(), solid.points().end()},
                      {solid.triangles().begin(), solid.triangles().end()}, std::move(origins));
}

/// The convex solid that `points` span.
inline Solid convex_solid(const std::vector<Vec3>& points) {
  Hull hull = convex_hull(std::span<const Vec3>(points));
  std::vector<Origin> origins(hull.triangles.size());
  return Solid::adopt(std::move(hull.points), std::move(hull.triangles), std::move(origins));
}

/// A random convex solid: `count` points in a box of the given size.
inline Solid random_polytope(Random& random, std::size_t count, Vec3 size) {
  std::vector<Vec3> points;
  for (std::size_t i = 0; i < count; ++i) {
    points.push_back(
        {random.uniform(0, size.x), random.uniform(0, size.y), random.uniform(0, size.z)});
  }
  return convex_solid(points);
}

/// Two solids as one of two shells; the second one's cap origins are kept.
inline Solid side_by_side(const Solid& a, const Solid& b) {
  std::vector<Vec3> points(a.points().begin(), a.points().end());
  std::vector<Triangle> triangles(a.triangles().begin(), a.triangles().end());
  std::vector<Origin> origins(a.origins().begin(), a.origins().end());
  const std::size_t first = points.size();
  points.insert(points.end(), b.points().begin(), b.points().end());
  for (const Triangle& t : b.triangles()) {
    triangles.push_back({to_id<VertexId>(to_index(t[0]) + first),
                         to_id<VertexId>(to_index(t[1]) + first),
                         to_id<VertexId>(to_index(t[2]) + first)});
  }
  origins.insert(origins.end(), b.origins().begin(), b.origins().end());
  return Solid::adopt(std::move(points), std::move(triangles), std::move(origins));
}

/// A pose's promises that need no rule: rigid, and every point in the room.
inline void expect_in_room(const Solid& solid, const Transform& bed_from_part, Vec3 usable) {
  const auto& r = bed_from_part.rows;
  EXPECT_NEAR(dot(r[0], cross(r[1], r[2])), 1, 1e-12);
  Box3 box;
  for (const Vec3 p : solid.points()) box.extend(bed_from_part.apply(p));
  for (std::size_t axis = 0; axis < 3; ++axis) {
    EXPECT_NEAR(box.low[axis], 0, 1e-9);
    EXPECT_LE(box.high[axis], usable[axis] + 2.001e-6);
  }
}

}  // namespace seamwright::testing
