#include "cut/patch_boolean.h"

#include <CGAL/Polygon_mesh_processing/connected_components.h>
#include <CGAL/Side_of_triangle_mesh.h>

#include <cmath>
#include <numbers>

namespace seamwright::cut_detail {
namespace {

namespace PMP = CGAL::Polygon_mesh_processing;

constexpr double kAgreedRatio = 0.5;  // of the votes of a patch, for and against it lying inside

/// What is known of one patch: votes weighed by length and by the angle to the nearest other face.
struct Patch {
  double inside_votes = 0, votes = 0;
  bool has_border = false;
  Vertex corner;  ///< any of its corners
};

using PatchOfFace = Mesh::Property_map<Face, std::size_t>;

struct Patches {
  PatchOfFace of_face;
  std::vector<Patch> all;
};

Patches patches_of(Mesh& mesh, const EdgeMarks& marks) {
  Patches patches{mesh.add_property_map<Face, std::size_t>("f:patch").first, {}};
  patches.all.resize(PMP::connected_components(mesh, patches.of_face,
                                               PMP::parameters::edge_is_constrained_map(marks)));
  for (const Face face : mesh.faces())
    patches.all[patches.of_face[face]].corner = mesh.target(mesh.halfedge(face));
  for (const Halfedge h : mesh.halfedges()) {
    if (!mesh.is_border(h) && mesh.is_border(mesh.opposite(h)))
      patches.all[patches.of_face[mesh.face(h)]].has_border = true;
  }
  return patches;
}

struct EdgePlace {
  Vec3 from, to;
  friend bool operator==(const EdgePlace&, const EdgePlace&) = default;
};
struct EdgePlaceHash {
  std::size_t operator()(const EdgePlace& edge) const {
    return PlaceHash()(edge.from) * 31 + PlaceHash()(edge.to);
  }
};

EdgePlace place_of(const Mesh& mesh, Halfedge h) {
  return {point_of(mesh, mesh.source(h)), point_of(mesh, mesh.target(h))};
}

double wrapped(double angle) {
  const double turn = 2 * std::numbers::pi;
  return angle - turn * std::floor(angle / turn);
}

/// The two faces at a halfedge, as angles round it, counter-clockwise seen against its way.
struct Wedge {
  double left = 0, right = 0;
  Face left_face, right_face;

  /// Whether a direction lies inside the material: counter-clockwise from right to left.
  bool holds(double angle) const { return wrapped(angle - right) < wrapped(left - right); }
  double apart(double angle) const {
    double least = std::numbers::pi;
    for (const double side : {left, right}) {
      const double away = wrapped(angle - side);
      least = std::min({least, away, 2 * std::numbers::pi - away});
    }
    return least;
  }
};

Wedge wedge_at(const Mesh& mesh, Halfedge h) {
  const auto [from, to] = place_of(mesh, h);
  const Vec3 along = normalized(to - from), u = any_perpendicular(along), v = cross(along, u);
  const auto angle = [&](Halfedge side) {
    const Vec3 third = point_of(mesh, mesh.target(mesh.next(side))) - from;
    return std::atan2(dot(third, v), dot(third, u));
  };
  const Halfedge back = mesh.opposite(h);
  return {angle(h), angle(back), mesh.face(h), mesh.face(back)};
}

void vote(Patches& patches, const Wedge& own, const Wedge& other, double length_mm) {
  for (const auto& [face, angle] :
       {std::pair{own.left_face, own.left}, std::pair{own.right_face, own.right}}) {
    Patch& patch = patches.all[patches.of_face[face]];
    const double weight = other.apart(angle) * length_mm;
    patch.votes += weight;
    if (other.holds(angle)) patch.inside_votes += weight;
  }
}

bool has_no_face(const Mesh& mesh, Halfedge h) {
  return mesh.is_border(h) || mesh.is_border(mesh.opposite(h));
}

/// Lets every edge where the meshes meet vote. False: an edge of one is none of the other.
bool vote_all(const Mesh& body, const EdgeMarks& body_marks, Patches& of_body, const Mesh& tool,
              const EdgeMarks& tool_marks, Patches& of_tool) {
  std::unordered_map<EdgePlace, Halfedge, EdgePlaceHash> in_tool;
  for (const auto edge : tool.edges()) {
    if (!tool_marks[edge]) continue;
    for (const Halfedge h : {tool.halfedge(edge), tool.opposite(tool.halfedge(edge))})
      in_tool.try_emplace(place_of(tool, h), h);
  }
  for (const auto edge : body.edges()) {
    if (!body_marks[edge]) continue;
    const Halfedge h = body.halfedge(edge);
    const EdgePlace place = place_of(body, h);
    const auto found = in_tool.find(place);
    if (found == in_tool.end() || has_no_face(body, h) || has_no_face(tool, found->second))
      return false;
    const double length_mm = norm(place.to - place.from);
    if (length_mm == 0) continue;
    const Wedge at_body = wedge_at(body, h), at_tool = wedge_at(tool, found->second);
    vote(of_body, at_body, at_tool, length_mm);
    vote(of_tool, at_tool, at_body, length_mm);
  }
  return true;
}

/// Closed parts of the body that the tool does not meet: one vote each, by where a corner lies.
void ask_untouched(const Mesh& body, Patches& of_body, const Mesh& tool) {
  std::optional<CGAL::Side_of_triangle_mesh<Mesh, Inexact>> side;
  for (Patch& patch : of_body.all) {
    if (patch.votes > 0 || patch.has_border) continue;
    if (!side) side.emplace(tool);
    patch.votes = 1;
    patch.inside_votes = (*side)(body.point(patch.corner)) == CGAL::ON_BOUNDED_SIDE ? 1 : 0;
  }
}

/// Which patches lie inside the other mesh; nothing when one can't be told.
std::optional<std::vector<bool>> insides(const Patches& patches) {
  std::vector<bool> is_inside;
  for (const Patch& patch : patches.all) {
    const double lead = std::abs(2 * patch.inside_votes - patch.votes);
    const bool is_told = patch.votes > 0 && lead >= kAgreedRatio * patch.votes;
    const bool is_voted_inside = 2 * patch.inside_votes > patch.votes;
    // What goes on to the border lies outside, also where the other mesh does not meet it.
    if (patch.has_border ? is_voted_inside : !is_told) return std::nullopt;
    is_inside.push_back(is_voted_inside);
  }
  return is_inside;
}

/// A mesh put together face by face; corners at marked edges are shared by their place.
class PatchJoiner {
 public:
  PatchJoiner() : notes_(notes_of(mesh_)) {}

  bool add(Mesh& from, const EdgeMarks& marks, const Patches& patches,
           const std::vector<bool>& is_inside, bool keeps_inside, bool is_turned, bool is_new) {
    std::vector<bool> is_met(from.num_vertices() + from.number_of_removed_vertices(), false);
    for (const auto edge : from.edges()) {
      if (!marks[edge]) continue;
      is_met[from.source(from.halfedge(edge))] = is_met[from.target(from.halfedge(edge))] = true;
    }
    const FaceNotes notes = notes_of(from);
    std::vector<Vertex> place(is_met.size(), Mesh::null_vertex());
    for (const Face face : from.faces()) {
      if (is_inside[patches.of_face[face]] != keeps_inside) continue;
      std::array<Vertex, 3> corners;
      Halfedge h = from.halfedge(face);
      for (Vertex& corner : corners) {
        const Vertex v = from.target(h);
        if (place[v] == Mesh::null_vertex()) place[v] = vertex_at(from, v, is_met[v]);
        corner = place[v];
        h = from.next(h);
      }
      if (corners[0] == corners[1] || corners[1] == corners[2] || corners[2] == corners[0])
        continue;  // its points were rounded onto each other
      if (is_turned) std::swap(corners[1], corners[2]);
      const Face added = mesh_.add_face(corners[0], corners[1], corners[2]);
      if (added == Mesh::null_face()) return false;
      notes_[added] = {notes[face].origin, is_new || notes[face].is_new};
    }
    return true;
  }
  Mesh take() { return std::move(mesh_); }

 private:
  Vertex vertex_at(const Mesh& from, Vertex v, bool is_met) {
    if (!is_met) return mesh_.add_vertex(from.point(v));
    const auto [found, is_first] = met_.try_emplace(point_of(from, v), Mesh::null_vertex());
    if (is_first) found->second = mesh_.add_vertex(from.point(v));
    return found->second;
  }

  Mesh mesh_;
  FaceNotes notes_;
  std::unordered_map<Vec3, Vertex, PlaceHash> met_;
};

}  // namespace

PatchResult combine_patches(Operation operation, Mesh& body, EdgeMarks body_marks, Mesh& tool,
                            EdgeMarks tool_marks) {
  Patches of_body = patches_of(body, body_marks), of_tool = patches_of(tool, tool_marks);
  if (!vote_all(body, body_marks, of_body, tool, tool_marks, of_tool))
    return {std::nullopt, PatchFault::unclear};
  ask_untouched(body, of_body, tool);
  const auto body_inside = insides(of_body), tool_inside = insides(of_tool);
  if (!body_inside || !tool_inside) return {std::nullopt, PatchFault::unclear};
  const bool takes = operation == Operation::subtract;
  PatchJoiner joiner;
  if (!joiner.add(body, body_marks, of_body, *body_inside, false, false, false) ||
      !joiner.add(tool, tool_marks, of_tool, *tool_inside, takes, takes, true))
    return {std::nullopt, PatchFault::refused};
  return {joiner.take()};
}

}  // namespace seamwright::cut_detail
