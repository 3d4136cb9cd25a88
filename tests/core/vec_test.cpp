#include "seamwright/core/vec.h"

#include <gtest/gtest.h>

#include "seamwright/core/random.h"

namespace seamwright {
namespace {

void expect_near(Vec3 a, Vec3 b, double tolerance = 1e-12) {
  EXPECT_NEAR(norm(a - b), 0, tolerance) << a.x << ' ' << a.y << ' ' << a.z;
}

TEST(Vec, CrossFollowsTheRightHand) {
  expect_near(cross(Vec3{1, 0, 0}, {0, 1, 0}), {0, 0, 1});
}

TEST(Vec, NormalizedKeepsZero) {
  expect_near(normalized(Vec3{}), {});
}

TEST(PlaneFrame, IsRightHandedAndFlattensWhatItLifts) {
  Random random(1);
  for (int i = 0; i < 100; ++i) {
    const Plane plane{random.direction(), random.uniform(-50, 50)};
    const PlaneFrame frame(plane);
    expect_near(cross(frame.u, frame.v), plane.normal);
    const Vec2 q{random.uniform(-9, 9), random.uniform(-9, 9)};
    EXPECT_NEAR(norm(frame.flatten(frame.lift(q)) - q), 0, 1e-12);
    EXPECT_NEAR(plane.distance(frame.lift(q)), 0, 1e-12);
  }
}

TEST(Rotation, TurnsCounterClockwise) {
  expect_near(rotation({0, 0, 1}, Angle::degrees(90)).apply({1, 0, 0}), {0, 1, 0});
}

TEST(Transform, InverseUndoesAndProductAppliesTheRightFactorFirst) {
  Random random(2);
  Transform a = rotation(random.direction(), Angle::degrees(40));
  a.shift = {1, 2, 3};
  Transform b = rotation(random.direction(), Angle::degrees(-110));
  b.shift = {-4, 0, 9};
  const Vec3 p{7, -5, 3};
  expect_near(a.inverse().apply(a.apply(p)), p);
  expect_near((a * b).apply(p), a.apply(b.apply(p)));
  expect_near(a.rotate_back(a.rotate(p)), p);
}

TEST(Box3, IsEmptyUntilExtended) {
  Box3 box;
  EXPECT_TRUE(box.is_empty());
  box.extend({1, 2, 3});
  box.extend({-1, 5, 3});
  expect_near(box.size(), {2, 3, 0});
  expect_near(box.center(), {0, 3.5, 3});
}

TEST(Angle, ConvertsBothWays) {
  EXPECT_NEAR(Angle::degrees(180).radians(), 3.141592653589793, 1e-15);
}

}  // namespace
}  // namespace seamwright
