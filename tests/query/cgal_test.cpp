// CGAL as the outside judge of hulls and sections.
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Polygon_mesh_slicer.h>
#include <CGAL/Surface_mesh.h>
#include <CGAL/convex_hull_3.h>
#include <gtest/gtest.h>

#include "seamwright/core/random.h"
#include "seamwright/query/hull.h"
#include "seamwright/query/section.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;

/// A hull's volume by CGAL::convex_hull_3.
double cgal_hull_mm3(const std::vector<Vec3>& points) {
  std::vector<Kernel::Point_3> input;
  for (Vec3 p : points) input.emplace_back(p.x, p.y, p.z);
  Mesh hull;
  CGAL::convex_hull_3(input.begin(), input.end(), hull);
  return CGAL::to_double(CGAL::Polygon_mesh_processing::volume(hull));
}

double volume_of(const Hull& hull) {
  double sum = 0;
  for (const Triangle& t : hull.triangles) {
    sum += dot(hull.points[to_index(t[0])],
               cross(hull.points[to_index(t[1])], hull.points[to_index(t[2])]));
  }
  return sum / 6;
}

TEST(HullByCgal, VolumesAgreeOnRandomClouds) {
  for (std::uint64_t seed = 0; seed < 30; ++seed) {
    Random random(seed);
    std::vector<Vec3> points;
    const bool is_on_grid = seed % 3 == 0;  // many points in one plane and in one line
    for (int i = 0; i < 400; ++i) {
      Vec3 p{random.uniform(-90, 90), random.uniform(-60, 60), random.uniform(-3, 3)};
      if (seed % 3 == 1) p = random.direction() * 80;
      points.push_back(
          is_on_grid ? Vec3{std::round(p.x / 10), std::round(p.y / 10), std::round(p.z)} : p);
    }
    const double expected = cgal_hull_mm3(points);
    EXPECT_NEAR(volume_of(convex_hull(points)) / expected, 1, 1e-12) << seed;
  }
}

TEST(HullByCgal, VolumesAgreeOnRealMeshes) {
  for (const char* name : {"armadillo", "camel", "shell", "ring"}) {
    const Solid part = testing::reference_part(name);
    const std::vector<Vec3> points(part.points().begin(), part.points().end());
    EXPECT_NEAR(volume_of(convex_hull(points)) / cgal_hull_mm3(points), 1, 1e-11) << name;
  }
}

Mesh mesh_of(const Solid& solid) {
  Mesh mesh;
  for (Vec3 p : solid.points()) mesh.add_vertex({p.x, p.y, p.z});
  for (const Triangle& t : solid.triangles()) {
    mesh.add_face(Mesh::Vertex_index(static_cast<unsigned>(t[0])),
                  Mesh::Vertex_index(static_cast<unsigned>(t[1])),
                  Mesh::Vertex_index(static_cast<unsigned>(t[2])));
  }
  return mesh;
}

TEST(SectionByCgal, ContoursAgreeInNumberAndLengthOnRealMeshes) {
  for (const char* name : {"armadillo", "elephant", "shell", "panel"}) {
    const Solid part = testing::reference_part(name);
    const Mesh mesh = mesh_of(part);
    ASSERT_EQ(mesh.number_of_faces(), part.face_count()) << name;
    CGAL::Polygon_mesh_slicer<Mesh, Kernel> slicer(mesh);
    Random random(11);
    for (int i = 0; i < 40; ++i) {
      const Vec3 n = random.direction(),
                 through = part.points()[random.below(part.points().size())];
      const Plane plane{n, dot(n, through) + random.uniform(-0.3, 0.3)};
      std::vector<std::vector<Kernel::Point_3>> contours;
      slicer({n.x, n.y, n.z, -plane.offset_mm}, std::back_inserter(contours));
      const std::vector<SectionLoop> loops = section(part, plane);
      EXPECT_EQ(loops.size(), contours.size()) << name << " plane " << i;
      double ours = 0, theirs = 0;
      for (const SectionLoop& loop : loops) {
        for (std::size_t k = 0; k < loop.points.size(); ++k)
          ours += norm(loop.points[(k + 1) % loop.points.size()] - loop.points[k]);
      }
      for (const auto& contour : contours) {
        EXPECT_EQ(contour.front(), contour.back());
        for (std::size_t k = 1; k < contour.size(); ++k)
          theirs += std::sqrt(CGAL::squared_distance(contour[k - 1], contour[k]));
      }
      EXPECT_NEAR(ours / theirs, 1, 1e-9) << name << " plane " << i;
    }
  }
}

}  // namespace
}  // namespace seamwright
