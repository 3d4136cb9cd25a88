#include "seamwright/cut/boolean.h"

#include <CGAL/Exact_predicates_exact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/corefinement.h>
#include <CGAL/Polygon_mesh_processing/repair_degeneracies.h>
#include <fmt/format.h>

#include "cut/boolean_mesh.h"

namespace seamwright {
namespace {

namespace PMP = CGAL::Polygon_mesh_processing;
using cut_detail::Face;
using cut_detail::FaceNote;
using cut_detail::FaceNotes;
using cut_detail::Inexact;
using cut_detail::Mesh;
using cut_detail::Vertex;
using Exact = CGAL::Exact_predicates_exact_constructions_kernel;

/// Carries notes through corefinement: parts of a face keep its origin, copied faces bring theirs.
struct NoteKeeper : PMP::Corefinement::Default_visitor<Mesh> {
  void before_subface_creations(Face old_face, Mesh& mesh) {
    kept_ = cut_detail::notes_of(mesh)[old_face];
    cut_detail::notes_of(mesh)[old_face].is_new = true;
  }
  void after_subface_created(Face new_face, Mesh& mesh) {
    cut_detail::notes_of(mesh)[new_face] = {kept_.origin, true};
  }
  void after_face_copy(Face old_face, const Mesh& from, Face new_face, Mesh& to) {
    const Origin origin = cut_detail::notes_of(const_cast<Mesh&>(from))[old_face].origin;
    cut_detail::notes_of(to)[new_face] = {origin, true};
  }
  FaceNote kept_;
};

/// Exact points beside the mesh's own, which follow them rounded.
struct ExactPoints {
  using Map = Mesh::Property_map<Vertex, Exact::Point_3>;
  using value_type = Exact::Point_3;
  using reference = Exact::Point_3;
  using key_type = Vertex;
  using category = boost::read_write_property_map_tag;
  Map exact;
  Mesh* mesh = nullptr;

  ExactPoints() = default;  // CGAL default-constructs maps it then assigns
  explicit ExactPoints(Mesh& of)
      : exact(of.add_property_map<Vertex, Exact::Point_3>("v:exact").first), mesh(&of) {
    for (const Vertex v : of.vertices()) {
      const auto& p = of.point(v);
      exact[v] = Exact::Point_3(p.x(), p.y(), p.z());
    }
  }
  friend reference get(const ExactPoints& map, key_type v) { return map.exact[v]; }
  friend void put(const ExactPoints& map, key_type v, const Exact::Point_3& p) {
    map.exact[v] = p;
    map.mesh->point(v) = {CGAL::to_double(p.x()), CGAL::to_double(p.y()), CGAL::to_double(p.z())};
  }
};

enum class Operation { unite, subtract };

bool corefine(Operation operation, Mesh& a, Mesh& b, bool is_exact) {
  const auto run = [&](const auto& np_a, const auto& np_b, const auto& np_out) {
    return operation == Operation::unite
               ? PMP::corefine_and_compute_union(a, b, a, np_a, np_b, np_out)
               : PMP::corefine_and_compute_difference(a, b, a, np_a, np_b, np_out);
  };
  try {
    if (!is_exact) {
      return run(PMP::parameters::throw_on_self_intersection(true).visitor(NoteKeeper{}),
                 PMP::parameters::default_values(), PMP::parameters::default_values());
    }
    const ExactPoints points_a(a), points_b(b);
    return run(PMP::parameters::throw_on_self_intersection(true)
                   .visitor(NoteKeeper{})
                   .vertex_point_map(points_a),
               PMP::parameters::vertex_point_map(points_b),
               PMP::parameters::vertex_point_map(points_a));
  } catch (const PMP::Corefinement::Self_intersection_exception&) {
    return false;
  }
}

Vec3 middle_of(const Mesh& mesh) {
  Box3 box;
  for (const Vertex v : mesh.vertices()) box.extend(cut_detail::point_of(mesh, v));
  return box.center();
}

Error failed(const std::string& why, Vec3 at) {
  return {
      "boolean-failed",
      fmt::format("{} near ({:.2f}, {:.2f}, {:.2f}); move the bore by a few tenths of a millimetre",
                  why, at.x, at.y, at.z)};
}

/// One operation by the discipline: corefine, clean, test in floats; other tolerances, then exact.
Result<Mesh> operate(Operation operation, const Mesh& a, const Mesh& b) {
  constexpr double kToleranceMm[] = {0.002, 0.0005, 0.005, 0.0001};
  std::optional<Vec3> crossing;
  for (const bool is_exact : {false, true}) {
    Mesh raw = a, tool = b;
    if (!corefine(operation, raw, tool, is_exact)) continue;
    for (const double tolerance_mm : kToleranceMm) {
      Mesh clean = raw;
      cut_detail::clean_flat_triangles(clean, tolerance_mm);
      clean.collect_garbage();
      crossing = cut_detail::find_crossing_in_floats(clean, cut_detail::notes_of(clean));
      if (!crossing) return clean;
    }
  }
  if (crossing) return failed("the cut leaves faces that cross", *crossing);
  return failed("the part crosses itself, or a tool touches its skin without going through,",
                middle_of(b));
}

bool boxes_meet(const Box3& a, const Box3& b) {
  return a.low.x <= b.high.x && b.low.x <= a.high.x && a.low.y <= b.high.y && b.low.y <= a.high.y &&
         a.low.z <= b.high.z && b.low.z <= a.high.z;
}

/// Tools as few meshes as their boxes allow: those whose boxes meet are united.
Result<std::vector<Mesh>> united(std::span<const Solid> tools) {
  std::vector<Mesh> groups;
  std::vector<Box3> boxes;
  for (const Solid& tool : tools) {
    std::optional<Mesh> group = cut_detail::to_mesh(tool);
    if (!group) return failed("a tool is not a manifold", tool.box().center());
    Box3 box = tool.box();
    for (std::size_t i = 0; i < groups.size();) {
      if (!boxes_meet(boxes[i], box)) {
        ++i;
        continue;
      }
      Result<Mesh> both = operate(Operation::unite, groups[i], *group);
      if (!both) return std::move(both).error();
      group = std::move(*both);
      box.extend(boxes[i].low);
      box.extend(boxes[i].high);
      groups.erase(groups.begin() + static_cast<std::ptrdiff_t>(i));
      boxes.erase(boxes.begin() + static_cast<std::ptrdiff_t>(i));
    }
    groups.push_back(std::move(*group));
    boxes.push_back(box);
  }
  return groups;
}

}  // namespace

Result<Solid> subtract(const Solid& body, std::span<const Solid> tools) {
  if (tools.empty()) return body;
  std::optional<Mesh> left = cut_detail::to_mesh(body);
  if (!left) return failed("the part is not a manifold", body.box().center());
  Result<std::vector<Mesh>> groups = united(tools);
  if (!groups) return std::move(groups).error();
  for (const Mesh& tool : *groups) {
    Result<Mesh> rest = operate(Operation::subtract, *left, tool);
    if (!rest) return std::move(rest).error();
    left = std::move(*rest);
  }
  Result<Solid> solid = cut_detail::to_solid(*left);
  if (!solid) return std::move(solid).error().within("after taking the tools away");
  return solid;
}

}  // namespace seamwright
