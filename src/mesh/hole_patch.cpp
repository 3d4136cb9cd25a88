#include "mesh/hole_patch.h"

#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/triangulate_hole.h>

namespace seamwright {

std::vector<std::array<std::size_t, 3>> patch_hole(std::span<const Vec3> loop) {
  using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
  std::vector<Kernel::Point_3> points;
  for (const Vec3& p : loop) points.emplace_back(p.x, p.y, p.z);
  std::vector<CGAL::Triple<int, int, int>> found;
  CGAL::Polygon_mesh_processing::triangulate_hole_polyline(points, std::back_inserter(found));
  std::vector<std::array<std::size_t, 3>> triangles;
  for (const auto& t : found) {
    triangles.push_back({static_cast<std::size_t>(t.first), static_cast<std::size_t>(t.second),
                         static_cast<std::size_t>(t.third)});
  }
  return triangles;
}

}  // namespace seamwright
