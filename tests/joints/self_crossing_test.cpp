#include "joints/self_crossing.h"

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/orient_polygon_soup.h>
#include <CGAL/Polygon_mesh_processing/polygon_soup_to_polygon_mesh.h>
#include <CGAL/Polygon_mesh_processing/self_intersections.h>
#include <CGAL/Surface_mesh.h>
#include <gtest/gtest.h>

#include <map>

#include "support/shapes.h"

namespace seamwright::testing {
namespace {

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;

using Faces = CGAL::Surface_mesh<Kernel::Point_3>;

struct Welded {
  std::vector<Kernel::Point_3> points;
  std::vector<std::array<std::size_t, 3>> triangles;
};

Welded weld_as_float(const Solid& solid) {
  Welded out;
  std::map<std::array<float, 3>, std::size_t> known;
  for (const Triangle& t : solid.triangles()) {
    std::array<std::size_t, 3> corners{};
    for (std::size_t i = 0; i < 3; ++i) {
      const Vec3 p = solid.point(t[i]);
      const std::array<float, 3> rounded{static_cast<float>(p.x) + 0.0f,
                                         static_cast<float>(p.y) + 0.0f,
                                         static_cast<float>(p.z) + 0.0f};
      const auto [at, is_new] = known.try_emplace(rounded, out.points.size());
      if (is_new) out.points.emplace_back(rounded[0], rounded[1], rounded[2]);
      corners[i] = at->second;
    }
    const bool is_triangle =
        corners[0] != corners[1] && corners[1] != corners[2] && corners[2] != corners[0];
    if (is_triangle) out.triangles.push_back(corners);
  }
  return out;
}

}  // namespace

std::size_t float_crossings(const Solid& solid) {
  namespace pmp = CGAL::Polygon_mesh_processing;
  Welded welded = weld_as_float(solid);
  pmp::orient_polygon_soup(welded.points, welded.triangles);
  Faces mesh;
  pmp::polygon_soup_to_polygon_mesh(welded.points, welded.triangles, mesh);
  std::vector<std::pair<Faces::Face_index, Faces::Face_index>> pairs;
  pmp::self_intersections(mesh, std::back_inserter(pairs));
  return pairs.size();
}

TEST(SelfCrossing, SeesTwoBoxesThatOverlap) {
  EXPECT_EQ(float_crossings(make_box({10, 10, 10})), 0u);
  const Solid a = make_box({10, 10, 10}), b = make_box({10, 10, 10}, {5, 5, 5});
  std::vector<Vec3> points(a.points().begin(), a.points().end());
  std::vector<Triangle> triangles(a.triangles().begin(), a.triangles().end());
  std::vector<Origin> origins(24);
  points.insert(points.end(), b.points().begin(), b.points().end());
  for (Triangle t : b.triangles()) {
    for (VertexId& v : t) v = to_id<VertexId>(to_index(v) + 8);
    triangles.push_back(t);
  }
  EXPECT_GT(float_crossings(Solid::adopt(points, triangles, origins)), 0u);
}

}  // namespace seamwright::testing
