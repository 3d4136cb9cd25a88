#include "pose/legs.h"

#include <gtest/gtest.h>

#include "seamwright/pose/standing.h"
#include "support/pieces.h"
#include "support/shapes.h"

namespace seamwright::pose_detail {
namespace {

using testing::make_box;
using testing::side_by_side;

/// A square face seen from above, as its lower triangle.
std::array<Vec2, 3> corner_at(Vec2 low, double side_mm) {
  return {low, low + Vec2{side_mm, 0}, low + Vec2{0, side_mm}};
}

TEST(Legs, AFaceOfAMillimetreSquaredBears) {
  Legs legs;
  std::vector<Vec2> footprint;
  legs.add(corner_at({50, 0}, 1.5), 1.125, footprint);
  legs.finish(footprint);
  EXPECT_EQ(footprint.size(), 3u);
}

TEST(Legs, ACrumbAloneDoesNotBear) {
  Legs legs;
  std::vector<Vec2> footprint;
  legs.add(corner_at({50, 0}, 0.5), 0.125, footprint);
  legs.finish(footprint);
  EXPECT_TRUE(footprint.empty());
}

TEST(Legs, FacesOfAFineMeshBearTogether) {
  Legs legs;
  std::vector<Vec2> footprint;
  for (int i = 0; i < 12; ++i) legs.add(corner_at({51 + 0.1 * i, 1}, 0.42), 0.0882, footprint);
  legs.finish(footprint);
  EXPECT_EQ(footprint.size(), 36u) << "12 faces of 0.0882 mm² in one square of 5 mm";
  footprint.clear();
  legs.finish(footprint);
  EXPECT_TRUE(footprint.empty()) << "nothing is left of the solid before";
}

TEST(Legs, CrumbsFarFromEachOtherDoNotAddUp) {
  Legs legs;
  std::vector<Vec2> footprint;
  for (int i = 0; i < 12; ++i) legs.add(corner_at({50.0 * i, 1}, 0.42), 0.0882, footprint);
  legs.finish(footprint);
  EXPECT_TRUE(footprint.empty());
}

/// A post of 22 × 22 × 190 mm with four cubes beside it, half way up. By itself it breaks two
/// rules: 190 is 8.6 times 22, and it tips at atan(11 / 95) = 6.6°.
Solid post_with_cubes(double side_mm) {
  Solid post = make_box({22, 22, 190}, {-11, -11, 0});
  const double near_mm = -side_mm / 2, far_mm = 17 - side_mm;
  for (const Vec3 low : {Vec3{far_mm, near_mm, 90}, Vec3{-17, near_mm, 90},
                         Vec3{near_mm, far_mm, 90}, Vec3{near_mm, -17, 90}})
    post = side_by_side(post, make_box({side_mm, side_mm, side_mm}, low));
  return post;
}

TEST(StandingPoses, AreProppedByWhatCanBePropped) {
  EXPECT_FALSE(standing_poses(post_with_cubes(2), {60, 60, 200}).empty());
}

TEST(StandingPoses, AreNotProppedByCrumbs) {
  EXPECT_TRUE(standing_poses(post_with_cubes(0.6), {60, 60, 200}).empty());
}

}  // namespace
}  // namespace seamwright::pose_detail
