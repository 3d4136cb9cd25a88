#include "cut/boolean_mesh.h"

#include <CGAL/Polygon_mesh_processing/orient_polygon_soup.h>
#include <CGAL/Polygon_mesh_processing/self_intersections.h>
#include <CGAL/boost/graph/Euler_operations.h>

#include <algorithm>
#include <array>
#include <tuple>

#include "seamwright/core/boxes.h"

namespace seamwright::cut_detail {
namespace {

namespace PMP = CGAL::Polygon_mesh_processing;

/// A face's least height, and the halfedge of its longest edge.
struct Flatness {
  double height_mm;
  Halfedge longest, shortest;
  double shortest_mm;
};

Flatness flatness_of(const Mesh& mesh, Face face) {
  Halfedge h = mesh.halfedge(face);
  Flatness flat{0, h, h, 0};
  double longest = -1, shortest = std::numeric_limits<double>::infinity();
  for (int i = 0; i < 3; ++i, h = mesh.next(h)) {
    const double length = norm(point_of(mesh, mesh.target(h)) - point_of(mesh, mesh.source(h)));
    if (length > longest) longest = length, flat.longest = h;
    if (length < shortest) shortest = length, flat.shortest = h;
  }
  const Vec3 a = point_of(mesh, mesh.source(h)), b = point_of(mesh, mesh.target(h));
  const Vec3 c = point_of(mesh, mesh.target(mesh.next(h)));
  flat.height_mm = longest > 0 ? norm(cross(b - a, c - a)) / longest : 0;
  flat.shortest_mm = shortest;
  return flat;
}

/// Flips the longest edge of a cap, unless the edge exists already or the flip would fold the
/// surface.
bool flip(Mesh& mesh, Halfedge h) {
  const Vertex left = mesh.target(mesh.next(h));
  const Vertex right = mesh.target(mesh.next(mesh.opposite(h)));
  if (left == right || mesh.halfedge(left, right) != Mesh::null_halfedge()) return false;
  const Vec3 a = point_of(mesh, mesh.source(h)), b = point_of(mesh, mesh.target(h));
  const Vec3 p = point_of(mesh, left), q = point_of(mesh, right);
  const Vec3 n1 = cross(p - a, q - a), n2 = cross(q - b, p - b);
  if (dot(n1, n2) >= 0 && dot(n1, n2) > 0.5 * norm(n1) * norm(n2)) {
    return false;  // the same side twice: the new pair would overlap
  }
  CGAL::Euler::flip_edge(h, mesh);
  return true;
}

bool clean_face(Mesh& mesh, FaceNotes& notes, Face face, double height_mm) {
  const Flatness flat = flatness_of(mesh, face);
  if (flat.height_mm >= height_mm) return false;
  if (flat.shortest_mm < height_mm) {
    const auto edge = mesh.edge(flat.shortest);
    if (!CGAL::Euler::does_satisfy_link_condition(edge, mesh)) return false;
    CGAL::Euler::collapse_edge(edge, mesh);
    return true;
  }
  const Face across = mesh.face(mesh.opposite(flat.longest));
  if (!flip(mesh, flat.longest)) return false;
  // The sliver lay in its neighbour's surface: both new faces are of that surface.
  notes[face] = {notes[across].origin, true};
  notes[across].is_new = true;
  return true;
}

std::optional<Mesh> mesh_of(const std::vector<Inexact::Point_3>& points,
                            const std::vector<std::vector<std::size_t>>& faces,
                            std::span<const Origin> origins) {
  Mesh mesh;
  FaceNotes notes = notes_of(mesh);
  std::vector<Vertex> vertices;
  for (const auto& p : points) vertices.push_back(mesh.add_vertex(p));
  for (std::size_t f = 0; f < faces.size(); ++f) {
    const Face face =
        mesh.add_face(vertices[faces[f][0]], vertices[faces[f][1]], vertices[faces[f][2]]);
    if (face == Mesh::null_face()) return std::nullopt;
    notes[face] = {origins[f], false};
  }
  return mesh;
}

Box3 box_of(const Mesh& mesh, Face face) {
  Box3 box;
  for (const Vertex v : mesh.vertices_around_face(mesh.halfedge(face)))
    box.extend(point_of(mesh, v));
  return box;
}

Inexact::Triangle_3 triangle_of(const Mesh& mesh, Face face) {
  const Halfedge h = mesh.halfedge(face);
  return {mesh.point(mesh.source(h)), mesh.point(mesh.target(h)),
          mesh.point(mesh.target(mesh.next(h)))};
}

bool is_less(Vec3 a, Vec3 b) {
  return std::tie(a.x, a.y, a.z) < std::tie(b.x, b.y, b.z);
}

/// Where a vertex is, and, as two may be at one place, its least neighbour.
using VertexPlace = std::pair<Vec3, Vec3>;

std::vector<std::pair<VertexPlace, Vertex>> sorted_vertices(const Mesh& mesh) {
  std::vector<std::pair<VertexPlace, Vertex>> vertices;
  for (const Vertex v : mesh.vertices()) {
    const Halfedge h = mesh.halfedge(v);
    if (h == Mesh::null_halfedge()) continue;  // of no face
    Vec3 least = point_of(mesh, mesh.source(h));
    for (const Vertex next : mesh.vertices_around_target(h))
      least = std::min(least, point_of(mesh, next), is_less);
    vertices.push_back({{point_of(mesh, v), least}, v});
  }
  std::sort(vertices.begin(), vertices.end(), [](const auto& a, const auto& b) {
    return a.first.first == b.first.first ? is_less(a.first.second, b.first.second)
                                          : is_less(a.first.first, b.first.first);
  });
  return vertices;
}

}  // namespace

Mesh ordered_by_place(Mesh& mesh) {
  const FaceNotes notes = notes_of(mesh);
  Mesh out;
  FaceNotes out_notes = notes_of(out);
  std::vector<Vertex> number(mesh.number_of_vertices() + mesh.number_of_removed_vertices());
  for (const auto& [place, v] : sorted_vertices(mesh)) number[v] = out.add_vertex(mesh.point(v));
  std::vector<std::pair<std::array<Vertex, 3>, Face>> faces;
  for (const Face f : mesh.faces()) {
    std::array<Vertex, 3> corners;
    std::size_t k = 0;
    for (const Vertex v : mesh.vertices_around_face(mesh.halfedge(f))) corners[k++] = number[v];
    std::rotate(corners.begin(), std::min_element(corners.begin(), corners.end()), corners.end());
    faces.emplace_back(corners, f);
  }
  std::sort(faces.begin(), faces.end());
  for (const auto& [corners, f] : faces) {
    const Face added = out.add_face(corners[0], corners[1], corners[2]);
    if (added == Mesh::null_face()) return mesh;  // rather another order than none
    out_notes[added] = notes[f];
  }
  return out;
}

FaceNotes notes_of(Mesh& mesh) {
  return mesh.add_property_map<Face, FaceNote>("f:seamwright_note").first;
}

Vec3 point_of(const Mesh& mesh, Vertex v) {
  const auto& p = mesh.point(v);
  return {p.x(), p.y(), p.z()};
}

std::optional<Mesh> to_mesh(const Solid& solid) {
  std::vector<Inexact::Point_3> points;
  for (const Vec3& p : solid.points()) points.emplace_back(p.x, p.y, p.z);
  std::vector<std::vector<std::size_t>> faces;
  for (const Triangle& t : solid.triangles()) {
    faces.push_back({to_index(t[0]), to_index(t[1]), to_index(t[2])});
  }
  std::optional<Mesh> mesh = mesh_of(points, faces, solid.origins());
  if (mesh) return mesh;
  // Shells that touch in an edge or a point: pulled apart there.
  PMP::orient_polygon_soup(points, faces);
  return mesh_of(points, faces, solid.origins());
}

void add_to(TriangleSoup& soup, Mesh& mesh, PlaceIds& known) {
  const FaceNotes notes = notes_of(mesh);
  std::vector<VertexId> place(mesh.num_vertices() + mesh.number_of_removed_vertices());
  known.reserve(mesh.num_vertices());
  for (const Vertex v : mesh.vertices()) {
    const auto [found, is_new] =
        known.try_emplace(point_of(mesh, v), to_id<VertexId>(soup.points.size()));
    if (is_new) soup.points.push_back(found->first);
    place[v] = found->second;
  }
  for (const Face face : mesh.faces()) {
    const Halfedge h = mesh.halfedge(face);
    soup.triangles.push_back(
        {place[mesh.source(h)], place[mesh.target(h)], place[mesh.target(mesh.next(h))]});
    soup.origins.push_back(notes[face].origin);
  }
}

Result<Solid> to_solid(Mesh& mesh) {
  TriangleSoup soup;
  PlaceIds known;
  add_to(soup, mesh, known);
  return Solid::make(std::move(soup));
}

void clean_flat_triangles(Mesh& mesh, double height_mm) {
  constexpr int kRounds = 20;
  FaceNotes notes = notes_of(mesh);
  for (int round = 0; round < kRounds; ++round) {
    std::vector<Face> candidates;
    for (const Face face : mesh.faces()) {
      if (notes[face].is_new) candidates.push_back(face);
    }
    bool has_changed = false;
    for (const Face face : candidates) {
      if (!mesh.is_removed(face)) has_changed |= clean_face(mesh, notes, face, height_mm);
    }
    if (!has_changed) break;
  }
}

bool keeps_off_crossings(const Mesh& mesh, const Mesh& tool) {
  Box3 near;
  for (const Vertex v : tool.vertices()) near.extend(point_of(tool, v));
  std::vector<Face> faces;
  for (const Face face : mesh.faces())
    if (boxes_meet(box_of(mesh, face), near)) faces.push_back(face);
  std::vector<std::pair<Face, Face>> pairs;
  PMP::self_intersections(faces, mesh, std::back_inserter(pairs));
  for (const auto& [a, b] : pairs) {
    for (const Face face : {a, b}) {
      const Box3 box = box_of(mesh, face);
      for (const Face other : tool.faces()) {
        if (boxes_meet(box, box_of(tool, other)) &&
            CGAL::do_intersect(triangle_of(mesh, face), triangle_of(tool, other)))
          return false;
      }
    }
  }
  return true;
}

}  // namespace seamwright::cut_detail
