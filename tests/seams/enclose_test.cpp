#include "seams/enclose.h"

#include <gtest/gtest.h>

#include "seamwright/pose/standing.h"
#include "seamwright/query/ray_tree.h"
#include "seamwright/query/simplify.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright::search {
namespace {

SearchMesh search_mesh_of(const Solid& solid) {
  const std::vector<double> sight(solid.face_count(), 1.0);
  return make_search_mesh(solid, sight, StandingRules{}.least_flat_side_mm2);
}

Solid solid_of(const SearchMesh& mesh) {
  TriangleSoup soup;
  soup.points = mesh.points;
  soup.triangles = mesh.triangles;
  soup.origins.resize(mesh.triangles.size());
  return Solid::make(std::move(soup)).value();
}

/// How far the farthest point of the part lies outside the mesh.
double most_outside_mm(const Solid& part, const SearchMesh& mesh) {
  const RayTree tree(solid_of(mesh));
  double most = 0;
  for (const Vec3 p : part.points()) {
    const NearestPoint near = tree.nearest(p).value();
    const Vec3 normal = mesh.facts[to_index(near.face)].normal;
    if (dot(p - near.point, normal) > 0) most = std::max(most, near.distance_mm);
  }
  return most;
}

/// 300 faces stand for 5120 of a ball of radius 100: sagitta about 2 mm.
const Solid& ball() {
  static const Solid solid = testing::make_sphere(100, 4);
  return solid;
}

TEST(Enclose, ThePartLiesInsideTheStandIn) {
  SearchMesh mesh = search_mesh_of(simplify(ball(), 300));
  const double before = most_outside_mm(ball(), mesh);
  EXPECT_GT(before, 0.5);
  enclose(mesh, ball(), {.most_mm = 10}, {});
  EXPECT_LT(most_outside_mm(ball(), mesh), 0.05 * before);
}

TEST(Enclose, PointsMoveNoFartherThanAsked) {
  const SearchMesh before = search_mesh_of(simplify(ball(), 300));
  for (const double most_mm : {0.2, 1.0}) {
    SearchMesh mesh = before;
    enclose(mesh, ball(), {.most_mm = most_mm}, {});
    double most = 0;
    for (std::size_t i = 0; i < mesh.points.size(); ++i)
      most = std::max(most, norm(mesh.points[i] - before.points[i]));
    EXPECT_NEAR(most, most_mm, 1e-9);
  }
}

TEST(Enclose, HalfTheWayIsGoneForHalfTheShare) {
  const SearchMesh before = search_mesh_of(simplify(ball(), 300));
  SearchMesh all = before, half = before;
  enclose(all, ball(), {.share = 1}, {});
  enclose(half, ball(), {.share = 0.5}, {});
  for (std::size_t i = 0; i < all.points.size(); ++i)
    EXPECT_LT(norm((half.points[i] - before.points[i]) * 2 - (all.points[i] - before.points[i])),
              1e-9);
}

TEST(Enclose, FlatSidesStayFlat) {
  // A box's sides are its feet; nothing of it lies outside anyway.
  const Solid box = testing::make_box({100, 80, 60});
  SearchMesh mesh = search_mesh_of(box);
  const std::vector<Vec3> before = mesh.points;
  enclose(mesh, ball(), {}, {});
  EXPECT_EQ(mesh.points, before);
}

TEST(Enclose, IsTheSameOnAnyThreadCount) {
  const SearchMesh before = search_mesh_of(simplify(ball(), 300));
  std::vector<std::vector<Vec3>> points;
  for (const int threads : {1, 2, 7}) {
    SearchMesh mesh = before;
    seamwright::Run run;
    run.thread_count = threads;
    enclose(mesh, ball(), {}, run);
    points.push_back(mesh.points);
  }
  EXPECT_EQ(points[0], points[1]);
  EXPECT_EQ(points[0], points[2]);
}

}  // namespace
}  // namespace seamwright::search
