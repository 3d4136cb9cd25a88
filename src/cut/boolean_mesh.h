#pragma once

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Surface_mesh.h>

#include <optional>
#include <unordered_map>

#include "seamwright/core/result.h"
#include "seamwright/mesh/solid.h"

namespace seamwright::cut_detail {

using Inexact = CGAL::Exact_predicates_inexact_constructions_kernel;
using Mesh = CGAL::Surface_mesh<Inexact::Point_3>;
using Face = Mesh::Face_index;
using Vertex = Mesh::Vertex_index;
using Halfedge = Mesh::Halfedge_index;

/// What a face remembers: its origin, and whether an operation made it.
struct FaceNote {
  Origin origin;
  bool is_new = false;
};
using FaceNotes = Mesh::Property_map<Face, FaceNote>;

struct PlaceHash {
  std::size_t operator()(const Vec3& p) const {
    std::size_t hash = 0;
    for (const double x : {p.x, p.y, p.z})
      hash = (hash ^ std::hash<double>()(x)) * 0x9e3779b97f4a7c15ULL;
    return hash ^ hash >> 32;
  }
};
using PlaceIds = std::unordered_map<Vec3, VertexId, PlaceHash>;

/// The notes of a mesh's faces, added when it has none.
FaceNotes notes_of(Mesh& mesh);
Vec3 point_of(const Mesh& mesh, Vertex v);

/// A CGAL mesh of a solid, edges of four faces pulled apart; nothing when CGAL can't hold it.
std::optional<Mesh> to_mesh(const Solid& solid);
/// Adds the mesh's faces to a soup; vertices at exactly the same place become one again, `known`.
void add_to(TriangleSoup& soup, Mesh& mesh, PlaceIds& known);
/// The solid of a mesh; vertices at exactly the same place become one again.
Result<Solid> to_solid(Mesh& mesh);

/// The mesh with its vertices and faces in the order of their places. Corefinement numbers what it
/// adds by addresses in memory, which differ from run to run; everything after goes by numbers.
/// O(n log n).
Mesh ordered_by_place(Mesh& mesh);

/// Collapses or flips new triangles whose least height is under `height_mm`, up to a fixed number
/// of rounds. Old faces are touched only where they share such a triangle's edge.
void clean_flat_triangles(Mesh& mesh, double height_mm);
/// Whether none of the mesh's faces that cross other faces of its own meets a face of the tool.
bool keeps_off_crossings(const Mesh& mesh, const Mesh& tool);

}  // namespace seamwright::cut_detail
