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

/// The faces of a solid that are wanted, for CGAL, moved; edges of four faces pulled apart.
template <class Wanted>
JudgeMesh judge_mesh_where(const Solid& solid, Vec3 shift, const Wanted& is_wanted) {
  std::vector<JudgeKernel::Point_3> points;
  for (const Vec3& p : solid.points())
    points.emplace_back(p.x + shift.x, p.y + shift.y, p.z + shift.z);
  std::vector<std::array<std::size_t, 3>> faces;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const Triangle& t = solid.triangles()[f];
    if (is_wanted(solid.corners(to_id<FaceId>(f))))
      faces.push_back({to_index(t[0]), to_index(t[1]), to_index(t[2])});
  }
  CGAL::Polygon_mesh_processing::orient_polygon_soup(points, faces);
  JudgeMesh mesh;
  CGAL::Polygon_mesh_processing::polygon_soup_to_polygon_mesh(points, faces, mesh);
  return mesh;
}

/// A solid for CGAL, moved. With `near`, only its faces whose boxes meet that box.
inline JudgeMesh judge_mesh(const Solid& solid, Vec3 shift = {}, const Box3* near = nullptr) {
  return judge_mesh_where(solid, shift, [near](const std::array<Vec3, 3>& corners) {
    Box3 box;
    for (const Vec3 p : corners) box.extend(p);
    return near == nullptr || boxes_meet(box, *near);
  });
}

/// Its faces that come within `reach_mm` of a plane: all that can meet what lies on the other side.
inline JudgeMesh judge_mesh_at(const Solid& solid, const Plane& plane, double reach_mm,
                               Vec3 shift = {}) {
  return judge_mesh_where(solid, shift, [&](const std::array<Vec3, 3>& corners) {
    bool is_over = true, is_under = true;
    for (const Vec3 p : corners) {
      is_over &= plane.distance(p) > reach_mm;
      is_under &= plane.distance(p) < -reach_mm;
    }
    return !is_over && !is_under;
  });
}

/// Whether two surfaces meet. Judge: CGAL's do_intersect, exact predicates.
inline bool surfaces_meet(const JudgeMesh& a, const JudgeMesh& b) {
  return CGAL::Polygon_mesh_processing::do_intersect(a, b);
}

}  // namespace seamwright::testing
