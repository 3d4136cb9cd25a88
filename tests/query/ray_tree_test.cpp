#include "seamwright/query/ray_tree.h"

#include <gtest/gtest.h>

#include "seamwright/core/parallel.h"
#include "seamwright/core/random.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

/// Möller and Trumbore, J. Graphics Tools 2(1) (1997) (memory), over every face.
std::optional<RayHit> brute_first_hit(const Solid& solid, Vec3 from, Vec3 direction) {
  std::optional<RayHit> best;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const auto [a, b, c] = solid.corners(to_id<FaceId>(f));
    const Vec3 p = cross(direction, c - a);
    const double det = dot(b - a, p);
    if (det == 0) continue;
    const double u = dot(from - a, p) / det, v = dot(direction, cross(from - a, b - a)) / det;
    const double t = dot(c - a, cross(from - a, b - a)) / det;
    if (u < 0 || v < 0 || u + v > 1 || t < 1e-3) continue;
    if (!best || t < best->distance_mm) best = RayHit{t, to_id<FaceId>(f), det < 0};
  }
  return best;
}

/// The distance to a triangle by dense search over its barycentric coordinates, refined: slow and
/// apart from the code under test.
double brute_distance_mm(const std::array<Vec3, 3>& corners, Vec3 p) {
  const auto at = [&](double u, double v) {
    return corners[0] * (1 - u - v) + corners[1] * u + corners[2] * v;
  };
  double best_u = 1.0 / 3, best_v = 1.0 / 3, step = 0.5, best = norm(at(best_u, best_v) - p);
  while (step > 1e-12) {
    bool is_better = false;
    for (auto [du, dv] : {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}, {1, -1}, {-1, 1}}) {
      const double u = std::clamp(best_u + du * step, 0.0, 1.0),
                   v = std::clamp(best_v + dv * step, 0.0, 1 - u);
      const double distance = norm(at(u, v) - p);
      if (distance < best) best = distance, best_u = u, best_v = v, is_better = true;
    }
    if (!is_better) step /= 2;
  }
  return best;
}

TEST(RayTree, FirstHitIsThatOfTheBruteForce) {
  const Solid torus = testing::make_torus(20, 5, 40, 20);
  const RayTree tree(torus);
  Random random(1);
  int hits = 0;
  for (int i = 0; i < 2000; ++i) {
    const Vec3 from = random.direction() * random.uniform(0, 40), direction = random.direction();
    const std::optional<RayHit> expected = brute_first_hit(torus, from, direction),
                                found = tree.first_hit(from, direction);
    ASSERT_EQ(found.has_value(), expected.has_value()) << i;
    ASSERT_EQ(tree.is_blocked(from, direction), expected.has_value());
    if (!found) continue;
    ++hits;
    EXPECT_NEAR(found->distance_mm, expected->distance_mm, 1e-4);
    EXPECT_EQ(found->from_behind, expected->from_behind);
  }
  EXPECT_GT(hits, 400);
}

TEST(RayTree, ReachEndsTheRay) {
  const RayTree tree(testing::make_box({10, 10, 10}));
  EXPECT_TRUE(tree.is_blocked({5, 5, 20}, {0, 0, -1}, 1e-3, 10.1));
  EXPECT_FALSE(tree.is_blocked({5, 5, 20}, {0, 0, -1}, 1e-3, 9.9));
  EXPECT_DOUBLE_EQ(tree.first_hit({5, 5, 20}, {0, 0, -1}, 15)->distance_mm, 20);
}

TEST(RayTree, NearestIsExactInDoublePrecision) {
  // A sphere of 10 m about a far corner, so that single precision would be off by a thousandth.
  const Solid small = testing::make_torus(20, 5, 24, 12);
  const Solid torus =
      small.transformed({Transform{}.rows, {10000.123456789, -2000.7654321, 500.1}});
  const RayTree tree(torus);
  Random random(2);
  for (int i = 0; i < 150; ++i) {
    const Vec3 from = torus.box().center() + random.direction() * random.uniform(0, 60);
    double expected = 1e9;
    for (std::size_t f = 0; f < torus.face_count(); ++f) {
      expected = std::min(expected, brute_distance_mm(torus.corners(to_id<FaceId>(f)), from));
    }
    const std::optional<NearestPoint> found = tree.nearest(from);
    ASSERT_TRUE(found);
    EXPECT_NEAR(found->distance_mm, expected, 1e-9);
    EXPECT_NEAR(norm(found->point - from), found->distance_mm, 1e-12);
    EXPECT_LE(brute_distance_mm(torus.corners(found->face), found->point), 1e-9);
  }
}

TEST(RayTree, NearestOfEquallyNearFacesIsTheLowest) {
  const Solid box = testing::subdivide(testing::make_box({10, 10, 10}), 2);
  const RayTree tree(box);
  for (std::size_t v = 0; v < box.points().size(); ++v) {
    const Vec3 p = box.points()[v];
    std::size_t lowest = box.face_count();
    for (std::size_t f = box.face_count(); f-- > 0;) {
      for (VertexId corner : box.triangles()[f]) lowest = to_index(corner) == v ? f : lowest;
    }
    EXPECT_EQ(to_index(tree.nearest(p)->face), lowest);
  }
}

TEST(RayTree, NearestLooksNoFartherThanItsReach) {
  const RayTree tree(testing::make_box({10, 10, 10}));
  EXPECT_FALSE(tree.nearest({5, 5, 12}, 1.999999999).has_value());
  EXPECT_TRUE(tree.nearest({5, 5, 12}, 2).has_value());
}

TEST(RayTree, ContainsKnowsInsideFromOutside) {
  const Solid torus = testing::make_torus(20, 5, 96, 48);
  const RayTree tree(torus);
  Random random(4);
  for (int i = 0; i < 3000; ++i) {
    const Vec3 p{random.uniform(-26, 26), random.uniform(-26, 26), random.uniform(-6, 6)};
    const double from_pipe = std::hypot(std::hypot(p.x, p.y) - 20, p.z);
    if (std::abs(from_pipe - 5) < 0.05) continue;
    ASSERT_EQ(tree.contains(p), from_pipe < 5) << p.x << " " << p.y << " " << p.z;
  }
}

TEST(RayTree, ContainsSeesTheVoidOfAHollowBody) {
  const Solid outer = testing::make_sphere(10, 3), inner = testing::make_sphere(5, 3);
  TriangleSoup hollow{{outer.points().begin(), outer.points().end()},
                      {outer.triangles().begin(), outer.triangles().end()},
                      {},
                      {},
                      {}};
  const std::size_t shift = hollow.points.size();
  hollow.points.insert(hollow.points.end(), inner.points().begin(), inner.points().end());
  for (Triangle t : inner.triangles()) {
    for (VertexId& v : t) v = to_id<VertexId>(to_index(v) + shift);
    hollow.triangles.push_back({t[0], t[2], t[1]});
  }
  const RayTree tree(Solid::make(hollow).value());
  EXPECT_TRUE(tree.contains({7, 0, 0}));
  EXPECT_FALSE(tree.contains({0.1, 0.2, 0.3}));
  EXPECT_FALSE(tree.contains({0, 0, 12}));
}

TEST(RayTree, GivesTheSameAnswersFromManyThreads) {
  const Solid part = testing::reference_part("ring");
  const RayTree tree(part);
  const auto ask = [&](int threads) {
    return map_index(5000, seamwright::Run{.thread_count = threads}, [&](std::size_t i) {
      Random random(9, i);
      const Vec3 from = part.box().center() + random.direction() * random.uniform(0, 300);
      const auto near = tree.nearest(from);
      const auto hit = tree.first_hit(from, random.direction());
      return std::array<double, 4>{near->distance_mm, static_cast<double>(near->face),
                                   hit ? hit->distance_mm : -1,
                                   hit ? static_cast<double>(hit->face) : -1};
    });
  };
  const auto one = ask(1);
  EXPECT_EQ(one, ask(2));
  EXPECT_EQ(one, ask(7));
}

}  // namespace
}  // namespace seamwright
