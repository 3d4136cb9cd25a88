// Three holes into a cap of refined_elephant, subdivided once to 356 k faces: by the joint room,
// and by CGAL's corefinement as the general boolean does it. Compare the user times of one run.
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/clip.h>
#include <CGAL/Polygon_mesh_processing/corefinement.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Polygon_mesh_processing/repair_degeneracies.h>
#include <CGAL/Surface_mesh.h>
#include <CGAL/boost/graph/copy_face_graph.h>
#include <benchmark/benchmark.h>

#include <algorithm>
#include <map>

#include "joints/key_features.h"
#include "joints/random_plan.h"
#include "seamwright/query/mass_properties.h"
#include "support/stl.h"

namespace seamwright {
namespace {

namespace PMP = CGAL::Polygon_mesh_processing;
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
          done += PMP::corefine_and_compute_difference(piece, tool, result);
          piece = std::move(result);
        }
      }
    }
  }
  state.counters["holes_made"] = static_cast<double>(done);
}
BENCHMARK(subtract_by_corefinement)->Unit(benchmark::kMillisecond)->Iterations(1);

/// The elephant as its file has it, 600 mm long, halved across the longest side of each piece until
/// all fit a room of 180; keys as the planner places them.
struct KeyedPlan {
  Solid part = testing::reference_part("elephant");
  testing::PosedParts parts;
  KeyedPieces keyed;
  std::vector<std::vector<joints::CapWork>> works;  ///< one list a piece, the keys' holes

  KeyedPlan()
      : parts(testing::cut_and_pose(part, halving_plan(part), {180, 180, 180})),
        keyed(testing::keyed(parts, {.relief_mm = 0, .has_marks = false}, 1)),
        works(parts.pieces.size()) {
    for (const Joint& joint : keyed.joints)
      for (const Key& key : joint.keys)
        for (const Side side : {Side::above, Side::below}) add_hole(joint, key, side);
  }

 private:
  static SeamPlan halving_plan(const Solid& part) {
    SeamPlan plan;
    for (bool is_done = false; !is_done;) {
      is_done = true;
      const std::vector<CutPiece> pieces = cut_plan(part, plan).value();
      for (const CutPiece& piece : pieces) {
        const Vec3 size = piece.solid.box().size(), middle = piece.solid.box().center();
        const double longest = std::max({size.x, size.y, size.z});
        if (longest <= 180) continue;
        Vec3 normal;
        normal[size.x == longest ? 0 : size.y == longest ? 1 : 2] = 1;
        plan =
            seamwright::apply(plan, AddSeam{piece.seam, piece.side, {normal, dot(normal, middle)}})
                .value();
        is_done = false;
        break;
      }
    }
    return plan;
  }

  void add_hole(const Joint& joint, const Key& key, Side side) {
    const std::size_t p = to_index(side == Side::above ? joint.face.above : joint.face.below);
    const Plane& plane = find_seam(parts.plan, joint.face.seam)->plane;
    const joints::FaceSide face = joints::face_side(plane, side, parts.poses[p]);
    auto work = std::find_if(works[p].begin(), works[p].end(),
                             [&](const joints::CapWork& w) { return w.seam == joint.face.seam; });
    if (work == works[p].end())
      work = works[p].insert(work, joints::CapWork{joint.face.seam, face.frame, {}});
    const double radius = joints::hole_radius_mm(key.diameter_mm, face, {});
    work->features.push_back(joints::make_hole(face, face.frame.flatten(key.at), radius,
                                               key.depth_mm, 0, {OriginKind::key, 0}));
  }
};

const KeyedPlan& keyed_plan() {
  static const KeyedPlan plan;
  return plan;
}

// The whole plan: cut, capped, every key's holes built in. Goal: 50 ms.
void cut_caps_and_keys_of_plan(benchmark::State& state) {
  const KeyedPlan& whole = keyed_plan();
  const auto threads = static_cast<int>(state.range(0));
  double holes = 0;
  for (const auto& works : whole.works)
    for (const joints::CapWork& work : works) holes += static_cast<double>(work.features.size());
  std::vector<Solid> made;
  for (auto _ : state) {
    made.clear();
    const auto pieces =
        cut_plan(whole.part, whole.parts.plan, seamwright::Run{.thread_count = threads}).value();
    for (std::size_t p = 0; p < pieces.size(); ++p)
      made.push_back(joints::build_on_caps(pieces[p].solid, whole.works[p]).value());
  }
  double volume = 0;
  for (const Solid& solid : made) volume += volume_mm3(solid);
  state.counters["volume_cm3"] = volume / 1000;
  state.counters["faces"] = static_cast<double>(whole.part.face_count());
  state.counters["pieces"] = static_cast<double>(whole.parts.pieces.size());
  state.counters["holes"] = holes;
}
BENCHMARK(cut_caps_and_keys_of_plan)->Arg(1)->Arg(2)->Unit(benchmark::kMillisecond);

/// The keys alone, on pieces that are cut already.
void keys_of_plan(benchmark::State& state) {
  const KeyedPlan& whole = keyed_plan();
  for (auto _ : state) {
    for (std::size_t p = 0; p < whole.works.size(); ++p)
      benchmark::DoNotOptimize(
          joints::build_on_caps(whole.parts.pieces[p].solid, whole.works[p]).value().face_count());
  }
}
BENCHMARK(keys_of_plan)->Unit(benchmark::kMillisecond);

/// A place in the plan's tree: the side of a seam, or the whole part.
using Leaf = std::pair<std::optional<SeamId>, Side>;

Leaf leaf_of(const CutPiece& piece) {
  return {piece.seam, piece.side};
}

/// All rods of the joints on one leaf, united with each other.
Faces rods_of(const KeyedPlan& whole, const Leaf& leaf) {
  Faces tools;
  for (const Joint& joint : whole.keyed.joints) {
    for (const PieceId piece : {joint.face.above, joint.face.below}) {
      if (leaf_of(whole.parts.pieces[to_index(piece)]) != leaf) continue;
      for (const Key& key : joint.keys) {
        Faces tool = rod(key), both;
        PMP::corefine_and_compute_union(tools, tool, both);
        tools = std::move(both);
      }
    }
  }
  return tools;
}

/// The same holes by CGAL: the rods of each leaf united with each other, then taken from it.
double take_keys(const KeyedPlan& whole, std::map<Leaf, Faces>& leaves) {
  double done = 0;
  for (auto& [leaf, piece] : leaves) {
    Faces tools = rods_of(whole, leaf), result;
    done += PMP::corefine_and_compute_difference(piece, tools, result);
    piece = std::move(result);
  }
  return done;
}

double volume_of(const std::map<Leaf, Faces>& leaves) {
  double volume = 0;
  for (const auto& [leaf, piece] : leaves) volume += PMP::volume(piece);
  return volume;
}

void keys_of_plan_by_corefinement(benchmark::State& state) {
  const KeyedPlan& whole = keyed_plan();
  for (auto _ : state) {
    std::map<Leaf, Faces> leaves;
    for (const CutPiece& piece : whole.parts.pieces) {
      Faces one = to_faces(piece.solid);
      CGAL::copy_face_graph(one, leaves[leaf_of(piece)]);
    }
    state.counters["leaves_made"] = take_keys(whole, leaves);
    state.counters["volume_cm3"] = volume_of(leaves) / 1000;
  }
}
BENCHMARK(keys_of_plan_by_corefinement)->Unit(benchmark::kMillisecond)->Iterations(1);

/// The whole by CGAL: the same planes, each side clipped with its cap, and then the keys.
void cut_caps_and_keys_of_plan_by_corefinement(benchmark::State& state) {
  const KeyedPlan& whole = keyed_plan();
  const Faces part = to_faces(whole.part);
  for (auto _ : state) {
    std::map<Leaf, Faces> leaves;
    double halves = 0;
    leaves[{std::nullopt, Side::above}] = part;
    for (const Seam& seam : whole.parts.plan.seams) {
      const auto parent = leaves.find({seam.parent, seam.side});
      const auto& [normal, offset_mm] = seam.plane;
      for (const Side side : {Side::above, Side::below}) {
        const double sign = side == Side::below ? 1 : -1;  // clip keeps what is below
        const Kernel::Plane_3 plane(sign * normal.x, sign * normal.y, sign * normal.z,
                                    -sign * offset_mm);
        Faces half = parent->second;
        halves += PMP::clip(half, plane, PMP::parameters::clip_volume(true));
        PMP::remove_degenerate_faces(half);  // the next clip would stop at one
        half.collect_garbage();
        leaves[{seam.id, side}] = std::move(half);
      }
      leaves.erase(parent);
    }
    state.counters["halves_made"] = halves;
    state.counters["leaves_made"] = take_keys(whole, leaves);
    state.counters["volume_cm3"] = volume_of(leaves) / 1000;
  }
}
BENCHMARK(cut_caps_and_keys_of_plan_by_corefinement)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
}  // namespace seamwright
