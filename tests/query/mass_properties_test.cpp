#include "seamwright/query/mass_properties.h"

#include <gtest/gtest.h>

#include "support/soups.h"

namespace seamwright {
namespace {

TEST(MassProperties, OfABoxAreItsClosedForms) {  // elementary: V a²/12 about the centroid
  const MassProperties mass = mass_properties(testing::box_solid({1, 2, 3}, {4, 7, 11}));
  EXPECT_DOUBLE_EQ(mass.volume_mm3, 120);
  EXPECT_DOUBLE_EQ(mass.area_mm2, 2 * (3 * 5 + 5 * 8 + 8 * 3));
  EXPECT_NEAR(norm(mass.centroid - Vec3{2.5, 4.5, 7}), 0, 1e-13);
  EXPECT_NEAR(mass.moments_mm5[0], 120 * 9 / 12.0, 1e-10);
  EXPECT_NEAR(mass.moments_mm5[1], 120 * 25 / 12.0, 1e-10);
  EXPECT_NEAR(mass.moments_mm5[2], 120 * 64 / 12.0, 1e-10);
  for (std::size_t k = 3; k < 6; ++k) EXPECT_NEAR(mass.moments_mm5[k], 0, 1e-10);
}

TEST(MassProperties, OfATorusApproachPappus) {  // CHECKS: torus R 20 r 5, derived
  const MassProperties mass =
      mass_properties(testing::solid_of(testing::torus_soup(20, 5, 720, 360)));
  EXPECT_NEAR(mass.volume_mm3, 9869.604, 9869.604 * 1e-4);
  EXPECT_NEAR(mass.area_mm2, 3947.842, 3947.842 * 1e-4);
  EXPECT_NEAR(norm(mass.centroid), 0, 1e-10);
}

TEST(MassProperties,
     OfAHollowSphereTakeTheVoidOff) {  // CHECKS: 100/97 outer/inner diameter, derived
  const TriangleSoup soup =
      testing::merged({testing::sphere_soup({5, 6, 7}, 50, 720, 360),
                       testing::flipped(testing::sphere_soup({5, 6, 7}, 48.5, 720, 360))});
  const double shell_mm3 = 4.0 / 3 * std::numbers::pi * (50.0 * 50 * 50 - 48.5 * 48.5 * 48.5);
  EXPECT_NEAR(volume_mm3(testing::solid_of(soup)), shell_mm3, shell_mm3 * 1e-4);
}

TEST(MassProperties, MoveWithTheBody) {
  const Solid box = testing::box_solid({0, 0, 0}, {3, 5, 8});
  Transform motion = rotation({0, 0, 1}, Angle::degrees(90));
  motion.shift = {100, 200, -300};
  const MassProperties before = mass_properties(box),
                       after = mass_properties(box.transformed(motion));
  EXPECT_NEAR(norm(after.centroid - motion.apply(before.centroid)), 0, 1e-12);
  EXPECT_NEAR(after.moments_mm5[0], before.moments_mm5[1], 1e-9);
  EXPECT_NEAR(after.moments_mm5[1], before.moments_mm5[0], 1e-9);
}

TEST(MassProperties,
     OfATetrahedronHaveProducts) {  // ∫ xy over the unit corner tetrahedron is 1/120
  TriangleSoup soup{{{0, 0, 0}, {1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, {}, {}, {}, {}};
  for (auto t : {std::array{0, 2, 1}, {0, 1, 3}, {0, 3, 2}, {1, 2, 3}}) {
    soup.triangles.push_back({VertexId(t[0]), VertexId(t[1]), VertexId(t[2])});
  }
  const MassProperties mass = mass_properties(testing::solid_of(soup));
  EXPECT_NEAR(mass.volume_mm3, 1.0 / 6, 1e-15);
  EXPECT_NEAR(mass.centroid.x, 0.25, 1e-15);
  EXPECT_NEAR(mass.moments_mm5[0], 1.0 / 60 - 1.0 / 96, 1e-15);
  EXPECT_NEAR(mass.moments_mm5[3], 1.0 / 120 - 1.0 / 96, 1e-15);
}

TEST(MassProperties, VolumeAloneIsTheSameSum) {
  const Solid torus = testing::solid_of(testing::torus_soup(20, 5, 40, 20));
  EXPECT_EQ(volume_mm3(torus), mass_properties(torus).volume_mm3);
}

}  // namespace
}  // namespace seamwright
