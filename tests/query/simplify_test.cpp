#include "seamwright/query/simplify.h"

#include <gtest/gtest.h>

#include "seamwright/query/mass_properties.h"
#include "seamwright/query/ray_tree.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

void expect_stand_in(const Solid& fine, std::size_t face_count, double volume_ratio) {
  const Solid coarse = simplify(fine, face_count);
  EXPECT_EQ(find_open_edge(coarse.points(), coarse.triangles()), std::nullopt);
  EXPECT_LE(coarse.face_count(), face_count + face_count / 10);
  EXPECT_NEAR(volume_mm3(coarse) / volume_mm3(fine), 1, volume_ratio);
}

TEST(Simplify, ThinWallsOfAShellDoNotCollapse) {
  const Solid shell = testing::reference_part("shell");
  expect_stand_in(shell, 10'000, 0.02);
  expect_stand_in(shell, 5'000, 0.03);
}

TEST(Simplify, KeepsTheVolumeOfBodies) {
  expect_stand_in(testing::reference_part("elephant"), 5'000, 0.02);
  expect_stand_in(testing::reference_part("armadillo"), 5'000, 0.02);
  expect_stand_in(testing::reference_part("rod"), 2'500, 0.001);
  expect_stand_in(testing::reference_part("panel"), 5'000, 0.02);
}

TEST(Simplify, PointsAreCornersOfTheOriginal) {
  const Solid torus = testing::make_torus(20, 5, 96, 48);
  const Solid coarse = simplify(torus, 1000);
  for (Vec3 p : coarse.points())
    EXPECT_NE(std::ranges::find(torus.points(), p), torus.points().end());
}

TEST(Simplify, ASolidUnderTheCountComesBackAsItIs) {
  const Solid box = testing::make_box({1, 2, 3});
  const Solid same = simplify(box, 12);
  EXPECT_TRUE(std::ranges::equal(same.points(), box.points()));
  EXPECT_TRUE(std::ranges::equal(same.triangles(), box.triangles()));
}

TEST(Simplify, OriginsAreThoseOfFacesThatLookTheSameWay) {
  const Solid shell = testing::reference_part("shell");
  const Solid coarse = simplify(shell, 5'000);
  double turned_mm2 = 0, all_mm2 = 0;
  for (std::size_t f = 0; f < coarse.face_count(); ++f) {
    const FaceId face = to_id<FaceId>(f), from = to_id<FaceId>(coarse.origin(face).id);
    EXPECT_EQ(coarse.origin(face).kind, OriginKind::skin);
    const Vec3 n = coarse.area_normal(face);
    all_mm2 += norm(n);
    if (dot(normalized(n), normalized(shell.area_normal(from))) < 0.3) turned_mm2 += norm(n);
  }
  EXPECT_LT(turned_mm2 / all_mm2, 0.001);
}

}  // namespace
}  // namespace seamwright
