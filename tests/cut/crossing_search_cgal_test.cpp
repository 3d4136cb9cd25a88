// CrossingSearch against the library's exact predicates asked of every pair of faces: skins whose
// corners are moved at random, far and a little, onto a coarse grid too, so that faces fold flat
// onto each other, lie in one plane, touch, or have no area.

#include <CGAL/intersections.h>
#include <gtest/gtest.h>

#include "cut/crossing_search.h"
#include "seamwright/core/random.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using namespace cut_detail;

Inexact::Triangle_3 triangle_of(const Mesh& mesh, Face face) {
  const Halfedge h = mesh.halfedge(face);
  return {mesh.point(mesh.source(h)), mesh.point(mesh.target(h)),
          mesh.point(mesh.target(mesh.next(h)))};
}

bool are_crossing(const Mesh& mesh, Face a, Face b) {
  const Inexact::Triangle_3 at_a = triangle_of(mesh, a), at_b = triangle_of(mesh, b);
  for (const Halfedge h : mesh.halfedges_around_face(mesh.halfedge(a))) {
    if (mesh.face(mesh.opposite(h)) != b) continue;
    const auto &p = mesh.point(mesh.source(h)), &q = mesh.point(mesh.target(h)),
               &r = mesh.point(mesh.target(mesh.next(h))),
               &s = mesh.point(mesh.target(mesh.next(mesh.opposite(h))));
    return CGAL::coplanar(p, q, r, s) && CGAL::coplanar_orientation(p, q, r, s) == CGAL::POSITIVE;
  }
  for (const Halfedge h : mesh.halfedges_around_face(mesh.halfedge(a))) {
    for (const Halfedge g : mesh.halfedges_around_face(mesh.halfedge(b))) {
      if (mesh.target(h) != mesh.target(g)) continue;
      const auto across = [&](Halfedge side) {
        return Inexact::Segment_3(mesh.point(mesh.target(mesh.next(side))),
                                  mesh.point(mesh.source(side)));
      };
      return CGAL::do_intersect(at_a, across(g)) || CGAL::do_intersect(at_b, across(h));
    }
  }
  return CGAL::do_intersect(at_a, at_b);
}

std::optional<Vec3> first_of_all_pairs(const Mesh& mesh, const FaceNotes& notes) {
  const auto place = [&](Face face) { return point_of(mesh, mesh.target(mesh.halfedge(face))); };
  for (const Face face : mesh.faces()) {
    if (notes[face].is_new && triangle_of(mesh, face).is_degenerate()) return place(face);
  }
  for (const Face own : mesh.faces()) {
    if (!notes[own].is_new) continue;
    for (const Face other : mesh.faces()) {
      if (notes[other].is_new ? other <= own : triangle_of(mesh, other).is_degenerate()) continue;
      if (are_crossing(mesh, own, other)) return place(own);
    }
  }
  return std::nullopt;
}

/// A ring's skin, every fourth corner moved by up to `far_mm`, all then put on a grid of `grid_mm`
/// (0: none), and three faces of four called new.
Mesh moved_ring(Random& random, double far_mm, double grid_mm) {
  Mesh mesh = *to_mesh(testing::make_torus(9, 3, 20, 12));
  for (const Vertex v : mesh.vertices()) {
    Vec3 p = point_of(mesh, v);
    if (random.below(4) == 0) p += random.direction() * (far_mm * random.uniform());
    if (grid_mm > 0) {
      for (std::size_t k = 0; k < 3; ++k) p[k] = std::round(p[k] / grid_mm) * grid_mm;
    }
    mesh.point(v) = {p.x, p.y, p.z};
  }
  FaceNotes notes = notes_of(mesh);
  for (const Face face : mesh.faces()) notes[face].is_new = random.below(4) != 0;
  return mesh;
}

Mesh in_floats(Mesh mesh) {
  for (const Vertex v : mesh.vertices()) {
    const Vec3 p = point_of(mesh, v);
    mesh.point(v) = {static_cast<float>(p.x), static_cast<float>(p.y), static_cast<float>(p.z)};
  }
  return mesh;
}

TEST(CrossingSearch, SaysOfEveryPairWhatExactPredicatesSay) {
  Random random(17);
  int crossed = 0, clean = 0;
  for (int round = 0; round < 60; ++round) {
    const double far_mm = round % 3 == 0 ? 0.3 : round % 3 == 1 ? 1e-6 : 3;
    Mesh mesh = moved_ring(random, far_mm, round % 4 == 0 ? 3.0 : round % 4 == 1 ? 0.25 : 0.0);
    Mesh rounded = in_floats(mesh);
    const FaceNotes notes = notes_of(mesh);
    const auto expected = first_of_all_pairs(mesh, notes);
    const auto expected_in_floats = first_of_all_pairs(rounded, notes_of(rounded));
    for (const int threads : {1, 2, 7}) {
      const CrossingSearch search(mesh, notes, {.thread_count = threads});
      EXPECT_EQ(search.in_mesh(), expected) << round;
      EXPECT_EQ(search.in_floats(), expected_in_floats) << round;
    }
    ++(expected ? crossed : clean);
  }
  EXPECT_GE(crossed, 8);  // both answers are asked for
  EXPECT_GE(clean, 8);
}

}  // namespace
}  // namespace seamwright
