#include "seamwright/query/hull.h"

#include <gtest/gtest.h>

#include "seamwright/core/random.h"
#include "seamwright/core/region.h"
#include "seamwright/mesh/solid.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

double volume_of(const Hull& hull) {
  double sum = 0;
  for (const Triangle& t : hull.triangles) {
    sum += dot(hull.points[to_index(t[0])],
               cross(hull.points[to_index(t[1])], hull.points[to_index(t[2])]));
  }
  return sum / 6;
}

void expect_closed_around(const Hull& hull, std::span<const Vec3> points, double tolerance_mm) {
  EXPECT_EQ(find_open_edge(hull.points, hull.triangles), std::nullopt);
  for (const Triangle& t : hull.triangles) {
    const Vec3 a = hull.points[to_index(t[0])];
    const Vec3 n =
        normalized(cross(hull.points[to_index(t[1])] - a, hull.points[to_index(t[2])] - a));
    for (Vec3 p : points) ASSERT_LE(dot(n, p - a), tolerance_mm);
  }
}

TEST(Hull, OfABoxWithPointsOnItsFacesIsTheBox) {
  const Solid box = testing::subdivide(testing::make_box({30, 20, 10}), 3);
  const Hull hull = convex_hull(box.points());
  EXPECT_NEAR(volume_of(hull), 6000, 1e-9);
  expect_closed_around(hull, box.points(), 1e-9);
}

TEST(Hull, IsClosedOutwardAndHoldsEveryPoint) {
  for (std::uint64_t seed = 0; seed < 20; ++seed) {
    Random random(seed);
    std::vector<Vec3> points;
    for (int i = 0; i < 300; ++i)
      points.push_back(random.direction() * (seed % 2 == 0 ? 50 : random.uniform(0, 50)));
    if (seed % 4 == 0)
      for (Vec3& p : points) p = {std::round(p.x), std::round(p.y), std::round(p.z)};
    const Hull hull = convex_hull(points);
    EXPECT_GT(volume_of(hull), 0);
    expect_closed_around(hull, points, 1e-7);
  }
}

TEST(Hull, OfAnIcosahedronIsItself) {
  // CHECKS: icosahedron of edge 10, 2181.695 mm³ (derived).
  const Solid ico = testing::make_icosahedron(10 * 0.95105651629515);
  const Hull hull = convex_hull(ico.points());
  EXPECT_EQ(hull.triangles.size(), 20U);
  EXPECT_NEAR(volume_of(hull), 2181.695, 5e-4);
}

TEST(Hull, OfABoxAndABallIsTheSteinerFormula) {
  // CHECKS: offset of a 30×20×10 box by 2 mm, 11187.493 mm³ (Steiner formula); the ball here is a
  // fine polyhedron inside the round one, so the hull is a little less.
  const Solid box = testing::make_box({30, 20, 10}), ball = testing::make_sphere(2, 5);
  std::vector<Vec3> points;
  for (Vec3 corner : box.points()) {
    for (Vec3 p : ball.points()) points.push_back(corner + p);
  }
  const double volume = volume_of(convex_hull(points));
  EXPECT_LT(volume, 11187.493);
  EXPECT_NEAR(volume, 11187.493, 11187.493 * 1e-4);
}

TEST(Hull, FlatOrEmptyInputGivesNone) {
  EXPECT_TRUE(convex_hull(std::vector<Vec3>{}).triangles.empty());
  EXPECT_TRUE(
      convex_hull(std::vector<Vec3>{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {1, 1, 0}, {0.5, 0.2, 0}})
          .triangles.empty());
  EXPECT_TRUE(
      convex_hull(std::vector<Vec3>{{0, 0, 0}, {1, 1, 1}, {2, 2, 2}, {3, 3, 3}}).triangles.empty());
  EXPECT_TRUE(convex_hull(std::vector<Vec2>{{0, 0}, {1, 1}, {2, 2}}).empty());
  EXPECT_TRUE(convex_hull(std::vector<Vec2>{}).empty());
}

TEST(Hull, InThePlaneIsCounterClockwiseWithoutCollinearPoints) {
  std::vector<Vec2> points;
  for (int i = 0; i <= 10; ++i) {
    for (int j = 0; j <= 10; ++j) points.push_back({3.0 * i, 2.0 * j});
  }
  EXPECT_EQ(convex_hull(points), (std::vector<Vec2>{{0, 0}, {30, 0}, {30, 20}, {0, 20}}));
}

TEST(Hull, InThePlaneStaysConvexWithNearEqualPoints) {
  Random random(3);
  std::vector<Vec2> points;
  for (int i = 0; i < 4000; ++i) {
    const double a = std::floor(random.uniform(0, 40)) * 2 * std::numbers::pi / 40;
    points.push_back({100 * std::cos(a) + random.uniform(-1, 1) * 1e-9,
                      100 * std::sin(a) + random.uniform(-1, 1) * 1e-9});
  }
  const std::vector<Vec2> hull = convex_hull(points);
  ASSERT_GE(hull.size(), 40U);
  const std::size_t n = hull.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Vec2 a = hull[i], b = hull[(i + 1) % n], c = hull[(i + 2) % n];
    EXPECT_GT(cross(b - a, c - b), 0);
    for (Vec2 p : points) ASSERT_GE(cross(b - a, p - a) / norm(b - a), -2e-7);
  }
  EXPECT_NEAR(loop_area_mm2(hull), 20 * 1e4 * std::sin(2 * std::numbers::pi / 40), 1e-4);
}

}  // namespace
}  // namespace seamwright
