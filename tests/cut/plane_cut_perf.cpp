#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/clip.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Surface_mesh.h>
#include <benchmark/benchmark.h>

#include "seamwright/cut/plane_cut.h"
#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Mesh = CGAL::Surface_mesh<Kernel::Point_3>;
namespace pmp = CGAL::Polygon_mesh_processing;

constexpr SeamId kSeam{1};

/// The elephant (600 mm), subdivided: 356 k faces once, 1.42 M twice.
const Solid& elephant(int times) {
  static const Solid once = testing::subdivide(testing::reference_part("elephant"), 1);
  static const Solid twice = testing::subdivide(once, 1);
  return times == 1 ? once : twice;
}

/// Oblique planes through the middle: every round cuts by the next of four.
Plane plane_at(const Solid& solid, int round) {
  const Vec3 normals[] = {{1, 2, 3}, {3, -1, 1}, {-1, 3, 2}, {1, 1, -4}};
  const Vec3 normal = normalized(normals[round % 4]);
  return {normal, dot(normal, solid.box().center())};
}

void own_halves(benchmark::State& state) {
  const Solid& solid = elephant(static_cast<int>(state.range(0)));
  int round = 0;
  double volume = 0;
  for (auto _ : state) {
    const auto cut = plane_cut(solid, plane_at(solid, round++), kSeam).value();
    volume += volume_mm3(*cut.above) + volume_mm3(*cut.below);
  }
  state.counters["faces"] = static_cast<double>(solid.face_count());
  state.counters["volume_ratio"] = volume / round / volume_mm3(solid);
}
BENCHMARK(own_halves)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond);

void own_cut_alone(benchmark::State& state) {
  const Solid& solid = elephant(static_cast<int>(state.range(0)));
  int round = 0;
  for (auto _ : state) benchmark::DoNotOptimize(plane_cut(solid, plane_at(solid, round++), kSeam));
}
BENCHMARK(own_cut_alone)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond);

/// The judge: both halves by `clip` with capping, and their volumes.
void cgal_halves(benchmark::State& state) {
  const Solid& solid = elephant(1);
  Mesh mesh;
  for (Vec3 p : solid.points()) mesh.add_vertex({p.x, p.y, p.z});
  for (const Triangle& t : solid.triangles()) {
    mesh.add_face(Mesh::Vertex_index(static_cast<std::uint32_t>(t[0])),
                  Mesh::Vertex_index(static_cast<std::uint32_t>(t[1])),
                  Mesh::Vertex_index(static_cast<std::uint32_t>(t[2])));
  }
  int round = 0;
  double volume = 0;
  for (auto _ : state) {
    const Plane plane = plane_at(solid, round++);
    for (const Plane& side : {plane, plane.flipped()}) {
      Mesh half = mesh;
      pmp::clip(half, Kernel::Plane_3(side.normal.x, side.normal.y, side.normal.z, -side.offset_mm),
                CGAL::parameters::clip_volume(true));
      volume += CGAL::to_double(pmp::volume(half));
    }
  }
  state.counters["volume_ratio"] = volume / round / volume_mm3(solid);
}
BENCHMARK(cgal_halves)->Unit(benchmark::kMillisecond)->Iterations(4);

void own_components(benchmark::State& state) {
  const Solid& solid = elephant(1);
  for (auto _ : state) benchmark::DoNotOptimize(split_components(solid));
}
BENCHMARK(own_components)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace seamwright
