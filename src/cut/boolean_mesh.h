#pragma once

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Surface_mesh.h>

#include <optional>

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

/// The notes of a mesh's faces, added when it has none.
FaceNotes notes_of(Mesh& mesh);
Vec3 point_of(const Mesh& mesh, Vertex v);

/// A CGAL mesh of a solid, edges of four faces pulled apart; nothing when CGAL can't hold it.
std::optional<Mesh> to_mesh(const Solid& solid);
/// The solid of a mesh; vertices at exactly the same place become one again.
Result<Solid> to_solid(Mesh& mesh);

/// Collapses or flips new triangles whose least height is under `height_mm`, up to a fixed number
/// of rounds. Old faces are touched only where they share such a triangle's edge.
void clean_flat_triangles(Mesh& mesh, double height_mm);
/// Whether none of the mesh's faces that cross other faces of its own meets a face of the tool.
bool keeps_off_crossings(const Mesh& mesh, const Mesh& tool);
/// A place where a new face crosses another face once every corner is rounded to float.
std::optional<Vec3> find_crossing_in_floats(const Mesh& mesh, const FaceNotes& notes);

}  // namespace seamwright::cut_detail
