#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Polygon_mesh_processing/measure.h>
#include <CGAL/Polygon_mesh_processing/self_intersections.h>
#include <CGAL/Surface_mesh.h>
#include <gtest/gtest.h>

#include "seamwright/mesh/check.h"
#include "seamwright/mesh/load.h"
#include "support/broken.h"
#include "support/places.h"

// CGAL as outside judge of what check_mesh says (CHECKS "open data"): the meshes of Debian's
// libcgal-demo.

namespace seamwright {
namespace {

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using CgalMesh = CGAL::Surface_mesh<Kernel::Point_3>;

CgalMesh cgal_mesh_of(const TriangleSoup& soup) {
  CgalMesh mesh;
  std::vector<CgalMesh::Vertex_index> ids;
  for (const Vec3& p : soup.points) ids.push_back(mesh.add_vertex({p.x, p.y, p.z}));
  for (const Triangle& t : soup.triangles) {
    if (mesh.add_face(ids[to_index(t[0])], ids[to_index(t[1])], ids[to_index(t[2])]) ==
        CgalMesh::null_face())
      throw std::runtime_error("CGAL refuses a face");
  }
  return mesh;
}

TriangleSoup demo_mesh(const std::string& name) {
  return load_mesh(testing::parts_dir() + "/meshes/" + name + ".off").value();
}

std::size_t crossings_of(const HealthReport& report) {
  std::size_t count = 0;
  for (const HealthFinding& finding : report.findings)
    count += finding.code == "self-crossing" ? finding.count : 0;
  return count;
}

TEST(CgalJudge, AgreesOnClosednessVolumeAndArea) {
  for (const char* name :
       {"bear", "camel", "anchor", "3torus", "bunny00", "handle", "turbine", "mushroom", "head"}) {
    SCOPED_TRACE(name);
    const TriangleSoup soup = demo_mesh(name);
    const HealthReport report = check_mesh(soup);
    const CgalMesh mesh = cgal_mesh_of(soup);
    EXPECT_EQ(report.is_closed, CGAL::is_closed(mesh));
    EXPECT_NEAR(report.area_mm2, CGAL::Polygon_mesh_processing::area(mesh), 1e-9 * report.area_mm2);
    EXPECT_EQ(report.euler_number, static_cast<long long>(mesh.number_of_vertices()) -
                                       static_cast<long long>(mesh.number_of_edges()) +
                                       static_cast<long long>(mesh.number_of_faces()));
    if (!report.is_closed) continue;
    const double volume = CGAL::to_double(CGAL::Polygon_mesh_processing::volume(mesh));
    EXPECT_NEAR(*report.volume_mm3, volume, 1e-9 * std::abs(volume));
  }
}

TEST(CgalJudge, AgreesOnTheNumberOfSelfCrossings) {
  for (const char* name : {"bear", "camel", "handle", "hand", "turbine"}) {
    SCOPED_TRACE(name);
    const TriangleSoup soup = demo_mesh(name);
    const CgalMesh mesh = cgal_mesh_of(soup);
    std::vector<std::pair<CgalMesh::Face_index, CgalMesh::Face_index>> pairs;
    CGAL::Polygon_mesh_processing::self_intersections(mesh, std::back_inserter(pairs));
    EXPECT_EQ(crossings_of(check_mesh(soup)), pairs.size());
  }
}

}  // namespace
}  // namespace seamwright
