#include "seamwright/query/section.h"

#include <gtest/gtest.h>

#include <filesystem>

#include "seamwright/core/random.h"
#include "support/places.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using testing::make_solid;

double area_mm2(const std::vector<SectionLoop>& loops) {
  double sum = 0;
  for (const SectionLoop& loop : loops) sum += loop_area_mm2(loop.points);
  return sum;
}

double length_mm(const std::vector<SectionLoop>& loops) {
  double sum = 0;
  for (const SectionLoop& loop : loops) {
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      sum += norm(loop.points[(i + 1) % loop.points.size()] - loop.points[i]);
    }
  }
  return sum;
}

/// How far the ends of the edges are from the faces that are said to make them.
double worst_distance_to_face_mm(const Solid& solid, const Plane& plane,
                                 const std::vector<SectionLoop>& loops) {
  const PlaneFrame frame(plane);
  double worst = 0;
  for (const SectionLoop& loop : loops) {
    EXPECT_EQ(loop.points.size(), loop.faces.size());
    EXPECT_GE(loop.points.size(), 3U);
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const auto [a, b, c] = solid.corners(loop.faces[i]);
      for (Vec2 end : {loop.points[i], loop.points[(i + 1) % loop.points.size()]}) {
        const Vec3 p = frame.lift(end);
        double nearest = 1e9;  // to the face's sides: a section's edge ends on two of them
        for (auto [from, to] : {std::pair{a, b}, {b, c}, {c, a}}) {
          const double t =
              std::clamp(dot(p - from, to - from) / dot(to - from, to - from), 0.0, 1.0);
          nearest = std::min(nearest, norm(p - (from + (to - from) * t)));
        }
        worst = std::max(worst, nearest);
      }
    }
  }
  return worst;
}

TEST(Section, OfABoxIsItsRectangleCounterClockwise) {
  const std::vector<SectionLoop> loops = section(testing::make_box({30, 20, 10}), {{0, 0, 1}, 4});
  ASSERT_EQ(loops.size(), 1U);
  EXPECT_DOUBLE_EQ(area_mm2(loops), 600);
  EXPECT_DOUBLE_EQ(length_mm(loops), 100);
}

TEST(Section, OfABoxAcrossItsSpaceDiagonalIsARegularHexagon) {
  // Derived: the plane through the centre of a cube of edge a across its diagonal, 3√3/4 a².
  const double s = 1 / std::sqrt(3.0);
  const std::vector<SectionLoop> loops =
      section(testing::make_box({10, 10, 10}), {{s, s, s}, 15 * s + 1e-9});
  ASSERT_EQ(loops.size(), 1U);
  EXPECT_NEAR(area_mm2(loops), 0.75 * std::sqrt(3.0) * 100, 1e-6);
}

TEST(Section, HolesRunClockwiseWithMaterialOnTheLeft) {
  const Solid tube = testing::make_tube(20, 15, 40, 64);
  const std::vector<SectionLoop> loops = section(tube, {{0, 0, 1}, 13});
  ASSERT_EQ(loops.size(), 2U);
  const auto polygon_mm2 = [](double r) {
    return 32 * r * r * std::sin(2 * std::numbers::pi / 64);
  };
  EXPECT_NEAR(std::max(loop_area_mm2(loops[0].points), loop_area_mm2(loops[1].points)),
              polygon_mm2(20), 1e-9);
  EXPECT_NEAR(std::min(loop_area_mm2(loops[0].points), loop_area_mm2(loops[1].points)),
              -polygon_mm2(15), 1e-9);
}

TEST(Section, OfATorusComesInOneTwoAndNested) {
  // Derived: z = 0 cuts an annulus π((R+r)² − (R−r)²), x = 0 two discs of r.
  const Solid torus = testing::make_torus(20, 5, 400, 200);
  const double pi = std::numbers::pi;
  const std::vector<SectionLoop> flat = section(torus, {{0, 0, 1}, 0});
  EXPECT_EQ(flat.size(), 2U);
  EXPECT_NEAR(area_mm2(flat), pi * (25 * 25 - 15 * 15), 0.2);
  const std::vector<SectionLoop> upright = section(torus, {{1, 0, 0}, 0});
  EXPECT_EQ(upright.size(), 2U);
  EXPECT_NEAR(area_mm2(upright), 2 * pi * 25, 0.1);
  EXPECT_EQ(section(torus, {{1, 0, 0}, 17}).size(), 1U);
}

TEST(Section, AreasAddUpToTheVolume) {
  // Cavalieri: ∫ area dz over a sphere's polyhedron is its volume; here by the midpoint rule.
  const Solid sphere = testing::make_sphere(10, 4);
  double volume = 0, exact = 0;
  for (int i = 0; i < 2000; ++i)
    volume += area_mm2(section(sphere, {{0, 0, 1}, -10 + 0.01 * (i + 0.5)})) * 0.01;
  for (std::size_t f = 0; f < sphere.face_count(); ++f) {
    const auto [a, b, c] = sphere.corners(to_id<FaceId>(f));
    exact += dot(a, cross(b, c)) / 6;
  }
  EXPECT_NEAR(volume / exact, 1, 2e-5);
}

TEST(Section, AVertexAtDistanceZeroCountsAsAbove) {
  const Solid box = testing::make_box({10, 10, 10});
  EXPECT_TRUE(section(box, {{0, 0, 1}, 0}).empty());  // all at or above
  EXPECT_DOUBLE_EQ(area_mm2(section(box, {{0, 0, 1}, 10})),
                   100);  // the top is above, the rest below
  EXPECT_TRUE(section(box, {{0, 0, 1}, 11}).empty());
}

TEST(Section, TouchingBodiesGiveTouchingLoopsThatDoNotCross) {
  // Two boxes sharing one edge: that edge has four faces.
  const Solid low = testing::make_box({10, 10, 10}),
              high = testing::make_box({10, 10, 10}, {10, 10, 0});
  TriangleSoup both{{low.points().begin(), low.points().end()},
                    {low.triangles().begin(), low.triangles().end()},
                    {},
                    {},
                    {}};
  std::vector<VertexId> place;
  for (Vec3 p : high.points()) {
    const auto found = std::ranges::find(both.points, p);
    place.push_back(to_id<VertexId>(static_cast<std::size_t>(found - both.points.begin())));
    if (found == both.points.end()) both.points.push_back(p);
  }
  for (Triangle t : high.triangles()) {
    both.triangles.push_back({place[to_index(t[0])], place[to_index(t[1])], place[to_index(t[2])]});
  }
  const std::vector<SectionLoop> loops = section(Solid::make(both).value(), {{0, 0, 1}, 5});
  ASSERT_EQ(loops.size(), 2U);
  EXPECT_DOUBLE_EQ(loop_area_mm2(loops[0].points), 100);
  EXPECT_DOUBLE_EQ(loop_area_mm2(loops[1].points), 100);
}

TEST(Section, NoChainOfASolidStaysOpenAtAnyPlane) {
  // Every closed mesh of Debian's libcgal-demo; planes at random, through vertices and in faces.
  std::size_t closed = 0;
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::directory_iterator(testing::parts_dir() + "/meshes")) {
    if (entry.path().extension() == ".off" && entry.file_size() < 1'000'000)
      paths.push_back(entry.path());
  }
  std::sort(paths.begin(), paths.end());
  for (const auto& path : paths) {
    TriangleSoup soup;
    try {
      soup = testing::cgal_demo_mesh(path.stem().string());
    } catch (const std::runtime_error&) {
      continue;  // not a mesh of plain faces
    }
    const Result<Solid> solid = make_solid(std::move(soup));
    if (!solid) continue;
    ++closed;
    Random random(7);
    const double size = norm(solid->box().size());
    for (int i = 0; i < 24; ++i) {
      const std::size_t v = random.below(solid->points().size()),
                        f = random.below(solid->face_count());
      Vec3 normal = random.direction();
      if (i % 3 == 1) normal = Vec3{i % 2 == 0 ? 1.0 : 0.0, i % 2 == 0 ? 0.0 : 1.0, 0};
      if (i % 3 == 2) normal = normalized(solid->area_normal(to_id<FaceId>(f)));
      if (normal == Vec3{}) continue;
      const Vec3 through = i % 3 == 2 ? solid->corners(to_id<FaceId>(f))[0] : solid->points()[v];
      const Plane plane{normal, dot(normal, through)};
      const auto loops = section(*solid, plane);
      EXPECT_LE(worst_distance_to_face_mm(*solid, plane, loops), 1e-9 * size)
          << path << " plane " << i;
    }
  }
  EXPECT_GE(closed, 60U);
}

}  // namespace
}  // namespace seamwright
