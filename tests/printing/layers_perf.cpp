#include <CGAL/AABB_halfedge_graph_segment_primitive.h>
#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_slicer.h>
#include <CGAL/Surface_mesh.h>
#include <benchmark/benchmark.h>

#include "seamwright/printing/layers.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;

const Solid& fine_elephant() {
  static const Solid kPart = testing::subdivide(testing::reference_part("elephant"), 1);
  return kPart;
}

std::vector<double> heights_mm() {
  const Box3& box = fine_elephant().box();
  std::vector<double> out;
  for (double z = box.low.z + 0.1; z < box.high.z; z += 0.2) out.push_back(z);
  return out;
}

// All layers at 0.2 mm of 356 k faces; one thread and two. Goal: ten times faster than the slicer
// with its tree, one thread against one.
void layers_by_sweep(benchmark::State& state) {
  const std::vector<double> heights = heights_mm();
  for (auto _ : state) {
    benchmark::DoNotOptimize(slice_layers(fine_elephant(), {}, heights,
                                          seamwright::Run{static_cast<int>(state.range(0))}));
  }
  state.counters["layers"] = static_cast<double>(heights.size());
  state.counters["faces"] = static_cast<double>(fine_elephant().face_count());
}
BENCHMARK(layers_by_sweep)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond)->MeasureProcessCPUTime();

void layers_by_cgal(benchmark::State& state) {
  Mesh mesh;
  std::vector<Mesh::Vertex_index> vertices;
  for (const Vec3 p : fine_elephant().points())
    vertices.push_back(mesh.add_vertex({p.x, p.y, p.z}));
  for (const Triangle& t : fine_elephant().triangles()) {
    mesh.add_face(vertices[to_index(t[0])], vertices[to_index(t[1])], vertices[to_index(t[2])]);
  }
  const std::vector<double> heights = heights_mm();
  for (auto _ : state) {
    CGAL::Polygon_mesh_slicer<Mesh, Kernel> slicer(mesh);
    for (const double z : heights) {
      std::vector<std::vector<Kernel::Point_3>> polylines;
      slicer(Kernel::Plane_3(0, 0, 1, -z), std::back_inserter(polylines));
      benchmark::DoNotOptimize(polylines);
    }
  }
}
BENCHMARK(layers_by_cgal)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
}  // namespace seamwright
