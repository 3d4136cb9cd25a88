// CGAL's slicer as an outside judge of the contours.
#include <CGAL/AABB_halfedge_graph_segment_primitive.h>
#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_slicer.h>
#include <CGAL/Surface_mesh.h>
#include <gtest/gtest.h>

#include <cmath>

#include "seamwright/printing/layers.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;
using Polylines = std::vector<std::vector<Kernel::Point_3>>;

Mesh mesh_of(const Solid& solid) {
  Mesh mesh;
  std::vector<Mesh::Vertex_index> vertices;
  for (const Vec3 p : solid.points()) vertices.push_back(mesh.add_vertex({p.x, p.y, p.z}));
  for (const Triangle& t : solid.triangles()) {
    mesh.add_face(vertices[to_index(t[0])], vertices[to_index(t[1])], vertices[to_index(t[2])]);
  }
  return mesh;
}

double loops_mm(const LayerLoops& layer) {
  double sum = 0;
  for (const Loop2& loop : layer.loops) {
    for (std::size_t i = 0; i < loop.size(); ++i) {
      sum += norm(loop[(i + 1) % loop.size()] - loop[i]);
    }
  }
  return sum;
}

double polylines_mm(const Polylines& polylines) {
  double sum = 0;
  for (const auto& line : polylines) {
    for (std::size_t i = 1; i < line.size(); ++i) {
      sum += std::sqrt(CGAL::squared_distance(line[i - 1], line[i]));
    }
  }
  return sum;
}

TEST(LayersJudge, ContourCountsAndLengthsAreThoseOfCgalsSlicer) {
  for (const char* name : {"elephant", "camel", "armadillo"}) {
    const Solid part = testing::reference_part(name);
    const Mesh mesh = mesh_of(part);
    CGAL::Polygon_mesh_slicer<Mesh, Kernel> slicer(mesh);
    const Box3& box = part.box();
    std::vector<double> heights;
    // Off the vertices, where both answers are well defined.
    for (int i = 0; i < 150; ++i) {
      heights.push_back(box.low.z + box.size().z * (i + 0.4917) / 150);
    }
    const Layers layers = slice_layers(part, {}, heights);
    for (std::size_t i = 0; i < heights.size(); ++i) {
      Polylines polylines;
      slicer(Kernel::Plane_3(0, 0, 1, -heights[i]), std::back_inserter(polylines));
      EXPECT_EQ(layers.layers[i].loops.size(), polylines.size()) << name << " at " << heights[i];
      EXPECT_NEAR(loops_mm(layers.layers[i]), polylines_mm(polylines),
                  1e-9 * polylines_mm(polylines) + 1e-9)
          << name << " at " << heights[i];
    }
  }
}

}  // namespace
}  // namespace seamwright
