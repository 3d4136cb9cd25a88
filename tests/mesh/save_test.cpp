#include "seamwright/mesh/save.h"

#include <gtest/gtest.h>

#include <cstring>
#include <sstream>

#include "seamwright/core/random.h"
#include "support/broken.h"
#include "support/shapes.h"
#include "support/soups.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using testing::make_box;
using testing::make_sphere;
using testing::read_binary_stl;
using testing::unbalanced_edges;
using testing::volume_of;

TriangleSoup soup_of(const Solid& solid) {
  TriangleSoup soup;
  soup.points.assign(solid.points().begin(), solid.points().end());
  soup.triangles.assign(solid.triangles().begin(), solid.triangles().end());
  return soup;
}

Vec3 stored_normal(const std::string& bytes, std::size_t face) {
  std::array<float, 3> n;
  std::memcpy(n.data(), bytes.data() + 84 + 50 * face, 12);
  return {n[0], n[1], n[2]};
}

/// The solid with every corner moved by up to `reach` and many needles: corners pulled onto others.
Solid needled(const Solid& solid, double reach, std::uint64_t seed) {
  Random random(seed);
  TriangleSoup soup = soup_of(solid);
  for (const Triangle& t : soup.triangles) {
    if (random.uniform() > 0.2) continue;
    soup.points[to_index(t[1])] = soup.points[to_index(t[0])] + random.direction() * reach;
  }
  return testing::solid_of(std::move(soup));
}

// Source: binary STL format description (CHECKS "Files").
TEST(StlBytes, HaveTheSizeAndHeaderOfTheFormat) {
  const std::string bytes = stl_bytes(make_box({30, 20, 10}));
  EXPECT_EQ(bytes.size(), 84U + 50U * 12U);
  EXPECT_EQ(bytes.substr(0, 80).find("solid"), std::string::npos);
  std::uint32_t count = 0;
  std::memcpy(&count, bytes.data() + 80, 4);
  EXPECT_EQ(count, 12U);
}

TEST(StlBytes, CarryUnitNormalsOfTheRoundedCorners) {
  const Solid ball = make_sphere(50, 2);
  const std::string bytes = stl_bytes(ball);
  for (std::size_t f = 0; f < ball.face_count(); ++f) {
    EXPECT_LT(norm(stored_normal(bytes, f) - normalized(ball.area_normal(to_id<FaceId>(f)))), 1e-5);
  }
}

TEST(StlBytes, RoundTripIsTheSolidToFloat) {
  const Solid ball = make_sphere(123.456789, 3);
  const TriangleSoup back = read_binary_stl(stl_bytes(ball));
  ASSERT_EQ(back.triangles.size(), ball.face_count());
  ASSERT_EQ(back.points.size(), ball.points().size());
  const double exact = volume_of(soup_of(ball));
  EXPECT_NEAR(volume_of(back), exact, 1e-6 * exact);
}

TEST(StlBytes, EveryDirectedEdgeOfTheReweldedFileKeepsItsOpposite) {
  for (double reach : {1e-3, 1e-5, 1e-7, 1e-9, 1e-12}) {
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
      const Solid solid = needled(make_sphere(300, 3), reach, seed);
      const TriangleSoup back = read_binary_stl(stl_bytes(solid));
      EXPECT_EQ(unbalanced_edges(back.triangles), 0U) << reach << " seed " << seed;
      const double exact = volume_of(soup_of(solid));
      EXPECT_NEAR(volume_of(back), exact, 1e-6 * exact) << reach << " seed " << seed;
    }
  }
}

TEST(StlBytes, LeaveOutFacesThatRoundingCollapses) {
  const Solid solid = needled(make_sphere(300, 3), 1e-12, 3);
  const TriangleSoup back = read_binary_stl(stl_bytes(solid));
  EXPECT_LT(back.triangles.size(), solid.face_count());
  for (const Triangle& t : back.triangles) {
    EXPECT_TRUE(t[0] != t[1] && t[1] != t[2] && t[2] != t[0]);
  }
}

TEST(StlBytes, LeaveOutFacesThatRoundingLaysBackToBack) {
  // A wall of 1e-7 mm between two boxes' worth of air: both its sides round to the same corners.
  const TriangleSoup body = testing::box_soup({100, 100, 100}, {200, 200, 200});
  const TriangleSoup fin = testing::box_soup({300, 100, 100}, {300 + 1e-7, 200, 200});
  const Solid solid = testing::solid_of(testing::merged({body, fin}));
  const TriangleSoup back = read_binary_stl(stl_bytes(solid));
  EXPECT_EQ(back.triangles.size(), 12U) << "the fin has no thickness left and is gone";
  EXPECT_EQ(unbalanced_edges(back.triangles), 0U);
}

TEST(StlBytes, WriteZeroWithoutASign) {
  const std::string bytes = stl_bytes(testing::box_solid({-0.0, -0.0, -0.0}, {1, 1, 1}));
  for (std::size_t at = 84; at + 48 < bytes.size(); at += 50) {
    for (std::size_t k = 0; k < 12; ++k) {
      std::uint32_t bits = 0;
      std::memcpy(&bits, bytes.data() + at + 4 * k, 4);
      EXPECT_NE(bits, 0x80000000U);
    }
  }
}

TEST(WriteStl, WritesTheSameBytesToAStream) {
  const Solid ball = make_sphere(50, 2);
  std::ostringstream out;
  write_stl(out, ball);
  EXPECT_EQ(out.str(), stl_bytes(ball));
}

}  // namespace
}  // namespace seamwright
