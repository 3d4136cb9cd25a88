#pragma once

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/intersection.h>
#include <CGAL/Polygon_mesh_processing/orient_polygon_soup.h>
#include <CGAL/Polygon_mesh_processing/polygon_soup_to_polygon_mesh.h>
#include <CGAL/Surface_mesh.h>

#include "seamwright/core/boxes.h"
#include "seamwright/mesh/solid.h"

namespace seamwright::testing {

using JudgeKernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using JudgeMesh = CGAL::Surface_mesh<JudgeKernel::Point_3>;

/// A solid for CGAL, moved; edges of four faces pulled apart. With `near`, only its faces whose
/// boxes meet that box.
inline JudgeMesh judge_mesh(const Solid& solid, Vec3 shift = {}, const Box3* near = nullptr) {
  std::vector<JudgeKernel::Point_3> points;
  for (const Vec3& p : solid.points())
    points.emplace_back(p.x + shift.x, p.y + shift.y, p.z + shift.z);
  std::vector<std::array<std::size_t, 3>> faces;
  for (const Triangle& t : solid.triangles()) {
    Box3 box;
    for (VertexId v : t) box.extend(solid.point(v));
    if (near == nullptr || boxes_meet(box, *near))
      faces.push_back({to_index(t[0]), to_index(t[1]), to_index(t[2])});
  }
  CGAL::Polygon_mesh_processing::orient_polygon_soup(points, faces);
  JudgeMesh mesh;
  CGAL::Polygon_mesh_processing::polygon_soup_to_polygon_mesh(points, faces, mesh);
  return mesh;
}

/// Whether two surfaces meet. Judge: CGAL's do_intersect, exact predicates.
inline bool surfaces_meet(const JudgeMesh& a, const JudgeMesh& b) {
  return CGAL::Polygon_mesh_processing::do_intersect(a, b);
}

}  // namespace seamwright::testing
