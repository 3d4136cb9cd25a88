#include "seamwright/mesh/solid.h"

#include <gtest/gtest.h>

#include "support/soups.h"

namespace seamwright {
namespace {

using testing::box_solid;
using testing::box_soup;

double volume_mm3(const Solid& solid) {
  double six_times = 0;
  for (std::size_t f = 0; f < solid.face_count(); ++f) {
    const auto [a, b, c] = solid.corners(to_id<FaceId>(f));
    six_times += dot(a, cross(b, c));
  }
  return six_times / 6;
}

TEST(Solid, MakesABoxOfItsFaces) {
  const Solid box = box_solid({1, 2, 3}, {2, 4, 6});
  EXPECT_EQ(box.face_count(), 12u);
  EXPECT_EQ(box.points().size(), 8u);
  EXPECT_EQ(box.box().low, (Vec3{1, 2, 3}));
  EXPECT_EQ(box.box().high, (Vec3{2, 4, 6}));
  EXPECT_DOUBLE_EQ(volume_mm3(box), 6);
}

TEST(Solid, FacesWithoutOriginAreSkinByTheirPosition) {
  const Solid box = box_solid({0, 0, 0}, {1, 1, 1});
  for (std::uint32_t f = 0; f < 12; ++f) {
    EXPECT_EQ(box.origin(FaceId{f}), (Origin{OriginKind::skin, f}));
  }
}

TEST(Solid, KeepsOriginsThatAreGiven) {
  TriangleSoup soup = box_soup({0, 0, 0}, {1, 1, 1});
  soup.origins.assign(12, {OriginKind::channel, 7});
  EXPECT_EQ(testing::solid_of(soup).origin(FaceId{3}), (Origin{OriginKind::channel, 7}));
}

TEST(Solid, RefusesAnOpenMeshWithThePlace) {
  TriangleSoup soup = box_soup({0, 0, 0}, {1, 1, 1});
  soup.triangles.pop_back();
  const auto made = Solid::make(soup);
  ASSERT_FALSE(made);
  EXPECT_EQ(made.error().code, "not-closed");
  EXPECT_NE(made.error().message.find("has 1 faces one way and 0 the other"), std::string::npos)
      << made.error().message;
}

TEST(Solid, RefusesAFlippedFace) {
  TriangleSoup soup = box_soup({0, 0, 0}, {1, 1, 1});
  std::swap(soup.triangles[4][0], soup.triangles[4][1]);
  const auto made = Solid::make(soup);
  ASSERT_FALSE(made);
  EXPECT_EQ(made.error().code, "not-closed");
}

TEST(Solid, RefusesAnInsideOutMesh) {
  const auto made = Solid::make(testing::flipped(box_soup({0, 0, 0}, {1, 1, 1})));
  ASSERT_FALSE(made);
  EXPECT_EQ(made.error().code, "inside-out");
}

TEST(Solid, RefusesAFaceThatRepeatsACorner) {
  TriangleSoup soup = box_soup({0, 0, 0}, {1, 1, 1});
  soup.triangles.push_back({VertexId{0}, VertexId{1}, VertexId{0}});
  const auto made = Solid::make(soup);
  ASSERT_FALSE(made);
  EXPECT_EQ(made.error().code, "degenerate-face");
}

TEST(Solid, RefusesPointsThatAreNotFinite) {
  TriangleSoup soup = box_soup({0, 0, 0}, {1, 1, 1});
  soup.points[3].y = std::numeric_limits<double>::quiet_NaN();
  const auto made = Solid::make(soup);
  ASSERT_FALSE(made);
  EXPECT_EQ(made.error().code, "not-finite");
}

TEST(Solid, RefusesNoFacesAtAll) {
  const auto made = Solid::make({});
  ASSERT_FALSE(made);
  EXPECT_EQ(made.error().code, "empty");
}

TEST(Solid, DropsPointsThatNoFaceUses) {
  TriangleSoup soup = box_soup({0, 0, 0}, {1, 1, 1});
  soup.points.insert(soup.points.begin(), {99, 99, std::numeric_limits<double>::infinity()});
  for (Triangle& t : soup.triangles) {
    for (VertexId& v : t) v = to_id<VertexId>(to_index(v) + 1);
  }
  const Solid box = testing::solid_of(soup);
  EXPECT_EQ(box.points().size(), 8u);
  EXPECT_EQ(box.box().high, (Vec3{1, 1, 1}));
}

TEST(Solid, AllowsFourFacesAtATouchingEdge) {
  // Two boxes that share the edge from (1,1,0) to (1,1,1), by index.
  TriangleSoup soup =
      testing::merged({box_soup({0, 0, 0}, {1, 1, 1}), box_soup({1, 1, 0}, {2, 2, 1})});
  for (Triangle& t : soup.triangles) {
    for (VertexId& v : t) {
      if (v == VertexId{8}) v = VertexId{3};
      if (v == VertexId{12}) v = VertexId{7};
    }
  }
  const Solid both = testing::solid_of(soup);
  EXPECT_EQ(both.points().size(), 14u);
  EXPECT_DOUBLE_EQ(volume_mm3(both), 2);
}

TEST(Solid, AdoptWantsOneOriginATriangle) {
  TriangleSoup soup = box_soup({0, 0, 0}, {1, 1, 1});
  EXPECT_THROW(Solid::adopt(soup.points, soup.triangles, {}), std::logic_error);
  EXPECT_EQ(Solid::adopt(soup.points, soup.triangles, std::vector<Origin>(12)).face_count(), 12u);
}

TEST(Solid, MovingKeepsVolumeAndOrigins) {
  const Solid box = box_solid({0, 0, 0}, {3, 4, 5});
  Transform motion = rotation(normalized({1, 2, 3}), Angle::degrees(77));
  motion.shift = {10, -20, 30};
  const Solid moved = box.transformed(motion);
  EXPECT_NEAR(volume_mm3(moved), 60, 1e-10);
  EXPECT_EQ(moved.origin(FaceId{5}), box.origin(FaceId{5}));
  EXPECT_EQ(moved.point(VertexId{6}), motion.apply(box.point(VertexId{6})));
  for (std::uint32_t v = 0; v < 8; ++v) {
    EXPECT_LE(moved.box().low.x, moved.point(VertexId{v}).x);
    EXPECT_GE(moved.box().high.z, moved.point(VertexId{v}).z);
  }
}

TEST(Solid, MirroringKeepsTheFacesOutward) {
  for (int axis = 0; axis < 3; ++axis) {
    const Solid mirror = box_solid({1, 2, 3}, {2, 4, 6}).mirrored(axis);
    EXPECT_DOUBLE_EQ(volume_mm3(mirror), 6);
    EXPECT_FALSE(find_open_edge(mirror.points(), mirror.triangles()));
    EXPECT_LT(mirror.box().high[static_cast<std::size_t>(axis)], 0);
  }
}

TEST(Solid, TorusHasEulerNumberZero) {  // V − E + F = 2 − 2g (Euler), E = 3F/2
  const Solid torus = testing::solid_of(testing::torus_soup(20, 5, 40, 20));
  const auto faces = static_cast<long>(torus.face_count());
  EXPECT_EQ(static_cast<long>(torus.points().size()) - faces * 3 / 2 + faces, 0);
}

}  // namespace
}  // namespace seamwright
