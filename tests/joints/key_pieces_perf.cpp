// Three holes into a cap of refined_elephant, subdivided once to 356 k faces: by the joint room,
// and by CGAL's corefinement as the general boolean does it. Compare the user times of one run.
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/corefinement.h>
#include <CGAL/Surface_mesh.h>
#include <benchmark/benchmark.h>

#include "joints/random_plan.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Faces = CGAL::Surface_mesh<Kernel::Point_3>;

/// The elephant cut across its longest side, its larger piece and joint first.
const testing::PosedParts& halves() {
  static const testing::PosedParts parts = [] {
    const Solid part = testing::subdivide(testing::reference_part("elephant"), 1);
    const Vec3 middle = part.box().center(), size = part.box().size();
    Vec3 normal;
    normal[size.x >= size.y && size.x >= size.z ? 0 : size.y >= size.z ? 1 : 2] = 1;
    SeamPlan plan;
    plan = seamwright::apply(plan, AddSeam{{}, Side::above, {normal, dot(normal, middle)}}).value();
    return testing::cut_and_pose(part, plan, {2000, 2000, 2000});
  }();
  return parts;
}

Faces to_faces(const Solid& solid) {
  Faces mesh;
  for (Vec3 p : solid.points()) mesh.add_vertex({p.x, p.y, p.z});
  for (const Triangle& t : solid.triangles()) {
    mesh.add_face(Faces::Vertex_index(static_cast<std::uint32_t>(t[0])),
                  Faces::Vertex_index(static_cast<std::uint32_t>(t[1])),
                  Faces::Vertex_index(static_cast<std::uint32_t>(t[2])));
  }
  return mesh;
}

/// A rod along the key's axis, through the cap.
Faces rod(const Key& key) {
  const Solid upright =
      testing::make_cylinder(key.diameter_mm / 2 + key.clearance_mm, 2 * key.depth_mm, 48);
  const Vec3 u = any_perpendicular(key.axis), v = cross(key.axis, u);
  Faces mesh;
  for (Vec3 p : upright.points()) {
    const Vec3 q = key.at + u * p.x + v * p.y + key.axis * (p.z - key.depth_mm);
    mesh.add_vertex({q.x, q.y, q.z});
  }
  for (const Triangle& t : upright.triangles()) {
    mesh.add_face(Faces::Vertex_index(static_cast<std::uint32_t>(t[0])),
                  Faces::Vertex_index(static_cast<std::uint32_t>(t[1])),
                  Faces::Vertex_index(static_cast<std::uint32_t>(t[2])));
  }
  return mesh;
}

void key_elephant(benchmark::State& state) {
  const testing::PosedParts& parts = halves();
  std::size_t faces = 0, keys = 0;
  for (const CutPiece& p : parts.pieces) faces += p.solid.face_count();
  for (auto _ : state) {
    const KeyedPieces out = testing::keyed(parts, {.relief_mm = 0, .has_marks = false}, 1);
    keys = 0;
    for (const Joint& j : out.joints) keys += j.keys.size();
    benchmark::DoNotOptimize(out.solids.size());
  }
  state.counters["faces"] = static_cast<double>(faces);
  state.counters["keys_both_sides"] = static_cast<double>(keys);
}
BENCHMARK(key_elephant)->Unit(benchmark::kMillisecond);

/// The default job: keys, marks and relief.
void key_elephant_with_marks_and_relief(benchmark::State& state) {
  const testing::PosedParts& parts = halves();
  for (auto _ : state) {
    const KeyedPieces out = testing::keyed(parts, {}, 1);
    benchmark::DoNotOptimize(out.solids.size());
  }
}
BENCHMARK(key_elephant_with_marks_and_relief)->Unit(benchmark::kMillisecond);

/// The same holes subtracted from both pieces one by one, the meshes converted beforehand.
void subtract_by_corefinement(benchmark::State& state) {
  const testing::PosedParts& parts = halves();
  const KeyedPieces out = testing::keyed(parts, {.relief_mm = 0, .has_marks = false}, 1);
  std::vector<Faces> pieces;
  for (const CutPiece& p : parts.pieces) pieces.push_back(to_faces(p.solid));
  std::size_t done = 0;
  for (auto _ : state) {
    done = 0;
    for (const Joint& joint : out.joints) {
      for (PieceId id : {joint.face.above, joint.face.below}) {
        Faces piece = pieces[to_index(id)];
        for (const Key& key : joint.keys) {
          Faces tool = rod(key), result;
          done +=
              CGAL::Polygon_mesh_processing::corefine_and_compute_difference(piece, tool, result);
          piece = std::move(result);
        }
      }
    }
  }
  state.counters["holes_made"] = static_cast<double>(done);
}
BENCHMARK(subtract_by_corefinement)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
}  // namespace seamwright
