#include "seamwright/cut/boolean.h"

#include <CGAL/Exact_predicates_exact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/corefinement.h>
#include <CGAL/Polygon_mesh_processing/repair_degeneracies.h>
#include <fmt/format.h>

#include <algorithm>
#include <exception>
#include <new>

#include "cut/boolean_mesh.h"
#include "cut/crossing_search.h"
#include "cut/near_part.h"
#include "cut/patch_boolean.h"
#include "seamwright/core/boxes.h"

namespace seamwright {
namespace {

namespace PMP = CGAL::Polygon_mesh_processing;
using cut_detail::Face;
using cut_detail::FaceNote;
using cut_detail::FaceNotes;
using cut_detail::Inexact;
using cut_detail::Mesh;
using cut_detail::Operation;
using cut_detail::PatchFault;
using cut_detail::PatchResult;
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

/// How carefully one operation is tried. The library's own test refuses any crossing of the part
/// near the tool; unchecked leaves it out, for crossings that the tool does not meet.
enum class Care { checked, unchecked, exact };

/// Calls the library's corefinement `run(parameters of a, parameters of b)` with the wanted care.
bool run_with(Care care, Mesh& a, Mesh& b, const auto& run) {
  const auto visiting =
      PMP::parameters::throw_on_self_intersection(care != Care::unchecked).visitor(NoteKeeper{});
  try {
    if (care != Care::exact) return run(visiting, PMP::parameters::default_values());
    const ExactPoints points_a(a), points_b(b);
    return run(visiting.vertex_point_map(points_a), PMP::parameters::vertex_point_map(points_b));
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

/// A boolean of two closed meshes, into the first.
PatchResult corefine_closed(Operation operation, Mesh& a, Mesh& b, Care care) {
  const bool is_done = run_with(care, a, b, [&](const auto& np_a, const auto& np_b) {
    return operation == Operation::unite
               ? PMP::corefine_and_compute_union(a, b, a, np_a, np_b, np_a)
               : PMP::corefine_and_compute_difference(a, b, a, np_a, np_b, np_a);
  });
  if (!is_done) return {};
  return {std::move(a)};
}

/// A boolean of an open mesh and a closed one. The library's own refuses nearly all open meshes.
PatchResult corefine_open(Operation operation, Mesh& a, Mesh& b, Care care) {
  const auto marks_a = a.add_property_map<Mesh::Edge_index, bool>("e:met", false).first;
  const auto marks_b = b.add_property_map<Mesh::Edge_index, bool>("e:met", false).first;
  const bool is_done = run_with(care, a, b, [&](const auto& np_a, const auto& np_b) {
    PMP::corefine(a, b, np_a.edge_is_constrained_map(marks_a),
                  np_b.edge_is_constrained_map(marks_b));
    return true;
  });
  if (!is_done) return {};
  return cut_detail::combine_patches(operation, a, marks_a, b, marks_b);
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

constexpr const char* kUnclear = "boolean-unclear";  // only of open parts of a body

/// What earlier operations made was cleaned and tested then; cleaned again by another tolerance it
/// could cross itself far from the tool, in this operation and each one after it.
void forget_new_faces(Mesh& mesh) {
  FaceNotes notes = cut_detail::notes_of(mesh);
  for (const Face face : mesh.faces()) notes[face].is_new = false;
}

/// One operation by the discipline: corefine, clean, test in floats; other tolerances, then exact.
/// Errors: kUnclear where an open part does not show what lies inside what.
Result<Mesh> operate(Operation operation, const Mesh& a, const Mesh& b, const Run& run,
                     Care most_care = Care::exact) {
  constexpr double kToleranceMm[] = {0.002, 0.0005, 0.005, 0.0001};
  const bool is_open = !CGAL::is_closed(a);
  std::optional<Vec3> crossing;
  std::optional<Mesh> in_floats_only;  // the next operation may refuse it
  for (const Care care : {Care::checked, Care::unchecked, Care::exact}) {
    if (care > most_care) break;
    if (care == Care::unchecked && (crossing || !cut_detail::keeps_off_crossings(a, b))) continue;
    Mesh raw = a, tool = b;
    forget_new_faces(raw);
    PatchResult raw_result = is_open ? corefine_open(operation, raw, tool, care)
                                     : corefine_closed(operation, raw, tool, care);
    if (!raw_result.mesh && raw_result.fault == PatchFault::unclear)
      return Error{kUnclear, "the part near a tool does not show what lies inside"};
    if (!raw_result.mesh) continue;
    const Mesh ordered = cut_detail::ordered_by_place(*raw_result.mesh);
    for (const double tolerance_mm : kToleranceMm) {
      Mesh clean = ordered;
      cut_detail::clean_flat_triangles(clean, tolerance_mm);
      clean.collect_garbage();
      const FaceNotes notes = cut_detail::notes_of(clean);
      const cut_detail::CrossingSearch search(clean, notes, run);
      crossing = search.in_floats();
      if (crossing) continue;
      if (!search.in_mesh()) return clean;
      if (!in_floats_only) in_floats_only = std::move(clean);
    }
    if (in_floats_only) return std::move(*in_floats_only);
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
Result<std::vector<ToolGroup>> united(std::span<const Tool> tools, const Run& run) {
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
      Result<Mesh> both = operate(Operation::unite, groups[i].mesh, group.mesh, run);
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
Mesh together(std::span<const ToolGroup> groups) {
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

/// All groups in one operation; when that fails, half of them at a time, so that the failing one is
/// found in few operations and named. Exact constructions only of one alone: of twenty they take
/// minutes.
Result<Mesh> operate_groups(Operation operation, Mesh body, std::span<const ToolGroup> groups,
                            const Run& run) {
  const bool is_one = groups.size() == 1;
  Result<Mesh> at_once = operate(operation, body, is_one ? groups.front().mesh : together(groups),
                                 run, is_one ? Care::exact : Care::unchecked);
  if (at_once) return at_once;
  if (is_one) return naming(std::move(at_once).error(), groups.front().name);
  const std::size_t half = groups.size() / 2;
  Result<Mesh> first = operate_groups(operation, std::move(body), groups.first(half), run);
  if (!first) return first;
  return operate_groups(operation, std::move(*first), groups.subspan(half), run);
}

Result<Mesh> operate_all(Operation operation, Mesh body, std::span<const Tool> tools,
                         const Run& run) {
  if (tools.empty()) return body;
  Result<std::vector<ToolGroup>> groups = united(tools, run);
  if (!groups) return std::move(groups).error();
  return operate_groups(operation, std::move(body), *groups, run);
}

Result<Mesh> united_and_taken(Mesh body, std::span<const Tool> added, std::span<const Tool> taken,
                              const Run& run) {
  Result<Mesh> fuller = operate_all(Operation::unite, std::move(body), added, run);
  if (!fuller) return fuller;
  return operate_all(Operation::subtract, std::move(*fuller), taken, run);
}

/// Whether most of the body lies off the tools, so that operations on the rest are cheaper.
bool is_worth_parting(const std::vector<bool>& is_near) {
  constexpr double kMostRatio = 0.6;
  const auto count = std::count(is_near.begin(), is_near.end(), true);
  return count > 0 && static_cast<double>(count) < kMostRatio * static_cast<double>(is_near.size());
}

std::vector<Tool> nameless(std::span<const Solid> solids) {
  std::vector<Tool> tools;
  for (const Solid& solid : solids) tools.push_back({"", solid});
  return tools;
}

}  // namespace

Result<Solid> combine(const Solid& body, std::span<const Tool> added, std::span<const Tool> taken,
                      const Run& run) {
  if (added.empty() && taken.empty()) return body;
  const std::vector<bool> is_near = cut_detail::faces_near(body, added, taken);
  if (is_worth_parting(is_near)) {
    std::optional<Mesh> part = cut_detail::part_of(body, is_near);
    Result<Mesh> changed = part ? united_and_taken(std::move(*part), added, taken, run)
                                : Result<Mesh>(Error{kUnclear, ""});
    if (!changed && changed.error().code != kUnclear) return std::move(changed).error();
    if (changed) {
      Result<Solid> solid = cut_detail::put_back(body, is_near, *changed);
      if (solid) return solid;
    }
  }
  std::optional<Mesh> whole = cut_detail::to_mesh(body);
  if (!whole) return failed("the part is not a manifold", body.box().center());
  Result<Mesh> changed = united_and_taken(std::move(*whole), added, taken, run);
  if (!changed) return std::move(changed).error();
  Result<Solid> solid = cut_detail::to_solid(*changed);
  if (!solid) return std::move(solid).error().within("after combining the part with its tools");
  return solid;
}

std::optional<Vec3> find_own_crossing(const Solid& solid, const Run& run) {
  std::optional<Mesh> faces = cut_detail::to_mesh(solid);
  if (!faces) return solid.box().center();
  const FaceNotes notes = cut_detail::notes_of(*faces);
  for (const Face f : faces->faces()) notes[f].is_new = true;
  return cut_detail::CrossingSearch(*faces, notes, run).in_floats();
}

Result<Solid> unite(const Solid& body, std::span<const Solid> tools) {
  return combine(body, nameless(tools), {});
}

Result<Solid> subtract(const Solid& body, std::span<const Solid> tools) {
  return combine(body, {}, nameless(tools));
}

}  // namespace seamwright
