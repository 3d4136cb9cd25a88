#include "seamwright/cut/boolean.h"

#include <CGAL/Exact_predicates_exact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/corefinement.h>
#include <CGAL/Polygon_mesh_processing/repair_degeneracies.h>
#include <fmt/format.h>

#include <exception>
#include <new>

#include "cut/boolean_mesh.h"
#include "seamwright/core/boxes.h"

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

/// How carefully one operation is tried. The library's own test refuses any crossing of the part
/// near the tool; unchecked leaves it out, for crossings that the tool does not meet.
enum class Care { checked, unchecked, exact };

bool corefine(Operation operation, Mesh& a, Mesh& b, Care care) {
  const auto run = [&](const auto& np_a, const auto& np_b, const auto& np_out) {
    return operation == Operation::unite
               ? PMP::corefine_and_compute_union(a, b, a, np_a, np_b, np_out)
               : PMP::corefine_and_compute_difference(a, b, a, np_a, np_b, np_out);
  };
  try {
    if (care != Care::exact) {
      const bool is_checked = care == Care::checked;
      return run(PMP::parameters::throw_on_self_intersection(is_checked).visitor(NoteKeeper{}),
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
  } catch (const std::bad_alloc&) {
    throw;
  } catch (const std::exception&) {
    // Where constructions round onto each other, the library's face triangulation gives up by an
    // exception of a class of its own: an operation that failed, as the other.
    return false;
  }
}

Vec3 middle_of(const Mesh& mesh) {
  Box3 box;
  for (const Vertex v : mesh.vertices()) box.extend(cut_detail::point_of(mesh, v));
  return box.center();
}

Error failed(const std::string& why, Vec3 at) {
  return {"boolean-failed",
          fmt::format("{} near ({:.2f}, {:.2f}, {:.2f}); move it by a few tenths of a millimetre",
                      why, at.x, at.y, at.z)};
}

Error naming(Error error, const std::string& tool) {
  return tool.empty() ? error : std::move(error).within(tool);
}

/// One operation by the discipline: corefine, clean, test in floats; other tolerances, then exact.
Result<Mesh> operate(Operation operation, const Mesh& a, const Mesh& b) {
  constexpr double kToleranceMm[] = {0.002, 0.0005, 0.005, 0.0001};
  std::optional<Vec3> crossing;
  for (const Care care : {Care::checked, Care::unchecked, Care::exact}) {
    if (care == Care::unchecked && (crossing || !cut_detail::keeps_off_crossings(a, b))) continue;
    Mesh raw = a, tool = b;
    if (!corefine(operation, raw, tool, care)) continue;
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

/// Tools that meet, united; `name` tells the maker which of their items they are.
struct ToolGroup {
  Mesh mesh;
  Box3 box;
  std::string name;
};

/// Tools as few meshes as their boxes allow: those whose boxes meet are united.
Result<std::vector<ToolGroup>> united(std::span<const Tool> tools) {
  std::vector<ToolGroup> groups;
  for (const Tool& tool : tools) {
    std::optional<Mesh> own = cut_detail::to_mesh(tool.solid);
    if (!own)
      return naming(failed("a tool is not a manifold", tool.solid.box().center()), tool.name);
    ToolGroup group{std::move(*own), tool.solid.box(), tool.name};
    for (std::size_t i = 0; i < groups.size();) {
      if (!boxes_meet(groups[i].box, group.box)) {
        ++i;
        continue;
      }
      const std::string names = group.name.empty() ? "" : groups[i].name + " and " + group.name;
      Result<Mesh> both = operate(Operation::unite, groups[i].mesh, group.mesh);
      if (!both) return naming(std::move(both).error(), names);
      group = {std::move(*both), group.box, names};
      group.box.extend(groups[i].box.low);
      group.box.extend(groups[i].box.high);
      groups.erase(groups.begin() + static_cast<std::ptrdiff_t>(i));
    }
    groups.push_back(std::move(group));
  }
  return groups;
}

/// Groups apart from each other as one mesh, notes kept: one operation for all of them.
Mesh together(const std::vector<ToolGroup>& groups) {
  Mesh all;
  FaceNotes notes = cut_detail::notes_of(all);
  for (const ToolGroup& group : groups) {
    Mesh one = group.mesh;
    const FaceNotes from = cut_detail::notes_of(one);
    std::vector<Vertex> place(one.num_vertices());
    for (const Vertex v : one.vertices()) place.at(v) = all.add_vertex(one.point(v));
    for (const Face f : one.faces()) {
      const auto h = one.halfedge(f);
      notes[all.add_face(place[one.source(h)], place[one.target(h)],
                         place[one.target(one.next(h))])] = from[f];
    }
  }
  return all;
}

/// All groups in one operation; when that fails, one by one, so that the failing one is named.
Result<Mesh> operate_all(Operation operation, Mesh body, std::span<const Tool> tools) {
  if (tools.empty()) return body;
  Result<std::vector<ToolGroup>> groups = united(tools);
  if (!groups) return std::move(groups).error();
  if (groups->size() > 1) {
    Result<Mesh> at_once = operate(operation, body, together(*groups));
    if (at_once) return at_once;
  }
  for (const ToolGroup& group : *groups) {
    Result<Mesh> next = operate(operation, body, group.mesh);
    if (!next) return naming(std::move(next).error(), group.name);
    body = std::move(*next);
  }
  return body;
}

std::vector<Tool> nameless(std::span<const Solid> solids) {
  std::vector<Tool> tools;
  for (const Solid& solid : solids) tools.push_back({"", solid});
  return tools;
}

}  // namespace

Result<Solid> combine(const Solid& body, std::span<const Tool> added, std::span<const Tool> taken) {
  if (added.empty() && taken.empty()) return body;
  std::optional<Mesh> whole = cut_detail::to_mesh(body);
  if (!whole) return failed("the part is not a manifold", body.box().center());
  Result<Mesh> fuller = operate_all(Operation::unite, std::move(*whole), added);
  if (!fuller) return std::move(fuller).error();
  Result<Mesh> rest = operate_all(Operation::subtract, std::move(*fuller), taken);
  if (!rest) return std::move(rest).error();
  Result<Solid> solid = cut_detail::to_solid(*rest);
  if (!solid) return std::move(solid).error().within("after combining the part with its tools");
  return solid;
}

std::optional<Vec3> find_own_crossing(const Solid& solid) {
  std::optional<Mesh> faces = cut_detail::to_mesh(solid);
  if (!faces) return solid.box().center();
  const FaceNotes notes = cut_detail::notes_of(*faces);
  for (const Face f : faces->faces()) notes[f].is_new = true;
  return cut_detail::find_crossing_in_floats(*faces, notes);
}

Result<Solid> unite(const Solid& body, std::span<const Solid> tools) {
  return combine(body, nameless(tools), {});
}

Result<Solid> subtract(const Solid& body, std::span<const Solid> tools) {
  return combine(body, {}, nameless(tools));
}

}  // namespace seamwright
