#include "joints/flat_mesh.h"

#include <CGAL/Constrained_Delaunay_triangulation_2.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Triangulation_face_base_with_info_2.h>
#include <CGAL/Triangulation_vertex_base_with_info_2.h>
#include <fmt/format.h>

#include <algorithm>
#include <utility>

namespace seamwright::joints {
namespace {

constexpr int kUnvisited = 1 << 20;
struct FaceInfo {
  int winding = kUnvisited;
};
using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using VertexBase = CGAL::Triangulation_vertex_base_with_info_2<std::uint32_t, Kernel>;
using FaceBase =
    CGAL::Triangulation_face_base_with_info_2<FaceInfo, Kernel,
                                              CGAL::Constrained_triangulation_face_base_2<Kernel>>;
using Structure = CGAL::Triangulation_data_structure_2<VertexBase, FaceBase>;
using Mesh = CGAL::Constrained_Delaunay_triangulation_2<
    Kernel, Structure, CGAL::No_constraint_intersection_requiring_constructions_tag>;

Error failure(std::string what) {
  return {"flat-mesh-failed", "the joint face can't be filled: " + std::move(what)};
}

/// How often an edge is walked from its lower to its higher point, less the other way.
struct Step {
  std::uint32_t low, high;
  int net;
};

std::vector<Step> net_steps(std::span<const FlatEdge> edges) {
  std::vector<Step> steps;
  for (const FlatEdge& e : edges) {
    if (e.is_border)
      steps.push_back({std::min(e.from, e.to), std::max(e.from, e.to), e.from < e.to ? 1 : -1});
  }
  std::sort(steps.begin(), steps.end(), [](const Step& a, const Step& b) {
    return std::pair(a.low, a.high) < std::pair(b.low, b.high);
  });
  std::vector<Step> merged;
  for (const Step& s : steps) {
    if (!merged.empty() && merged.back().low == s.low && merged.back().high == s.high) {
      merged.back().net += s.net;
    } else {
      merged.push_back(s);
    }
  }
  return merged;
}

/// What the winding number gains when `from` → `to` is crossed from its right to its left.
int gain(const std::vector<Step>& steps, std::uint32_t from, std::uint32_t to) {
  const std::pair key(std::min(from, to), std::max(from, to));
  const auto it =
      std::lower_bound(steps.begin(), steps.end(), key,
                       [](const Step& s, const auto& k) { return std::pair(s.low, s.high) < k; });
  if (it == steps.end() || std::pair(it->low, it->high) != key) return 0;
  return from < to ? it->net : -it->net;
}

void spread_winding(Mesh& mesh, const std::vector<Step>& steps) {
  std::vector<Mesh::Face_handle> open{mesh.infinite_face()};
  open.back()->info().winding = 0;
  while (!open.empty()) {
    const Mesh::Face_handle face = open.back();
    open.pop_back();
    for (int i = 0; i < 3; ++i) {
      const Mesh::Face_handle next = face->neighbor(i);
      if (next->info().winding != kUnvisited) continue;
      const auto a = face->vertex(Mesh::ccw(i)), b = face->vertex(Mesh::cw(i));
      const bool is_finite = !mesh.is_infinite(a) && !mesh.is_infinite(b);
      // The face lies left of a → b; the neighbour is reached by crossing to its right.
      next->info().winding =
          face->info().winding - (is_finite ? gain(steps, a->info(), b->info()) : 0);
      open.push_back(next);
    }
  }
}

/// The mesh's vertex of each point; shorter than the points when some coincide.
std::vector<Mesh::Vertex_handle> insert_points(Mesh& mesh, std::span<const Vec2> points) {
  std::vector<std::pair<Kernel::Point_2, std::uint32_t>> input;
  input.reserve(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    input.emplace_back(Kernel::Point_2(points[i].x, points[i].y), static_cast<std::uint32_t>(i));
  }
  mesh.insert(input.begin(), input.end());
  if (mesh.number_of_vertices() != points.size()) return {};
  std::vector<Mesh::Vertex_handle> handles(points.size());
  for (auto v = mesh.finite_vertices_begin(); v != mesh.finite_vertices_end(); ++v)
    handles[v->info()] = v;
  return handles;
}

}  // namespace

Result<std::vector<FlatTriangle>> mesh_flat(std::span<const Vec2> points,
                                            std::span<const FlatEdge> edges) {
  Mesh mesh;
  const auto handles = insert_points(mesh, points);
  if (handles.size() != points.size()) return failure("two points coincide");
  try {
    for (const FlatEdge& e : edges) mesh.insert_constraint(handles[e.from], handles[e.to]);
  } catch (const Mesh::Intersection_of_constraints_exception&) {
    return failure("two edges cross");
  }
  for (const FlatEdge& e : edges) {
    if (!mesh.is_edge(handles[e.from], handles[e.to])) return failure("a point lies on an edge");
  }
  spread_winding(mesh, net_steps(edges));
  std::vector<FlatTriangle> triangles;
  for (auto f = mesh.finite_faces_begin(); f != mesh.finite_faces_end(); ++f) {
    const int winding = f->info().winding;
    if (winding != 0 && winding != 1) return failure(fmt::format("winding number {}", winding));
    if (winding == 1)
      triangles.push_back({f->vertex(0)->info(), f->vertex(1)->info(), f->vertex(2)->info()});
  }
  return triangles;
}

}  // namespace seamwright::joints
