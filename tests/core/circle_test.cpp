#include "seamwright/core/circle.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace seamwright {
namespace {

TEST(Circle, PolygonStaysWithinItsSagittaOfTheCircle) {
  for (const double radius_mm : {0.4, 1.0, 3.0, 10.0, 60.0}) {
    const Loop2 loop = inscribed_circle({5, -2}, radius_mm);
    EXPECT_EQ(loop.size() % 8, 0U);
    for (std::size_t i = 0; i < loop.size(); ++i) {
      const Vec2 middle = (loop[i] + loop[(i + 1) % loop.size()]) / 2;
      EXPECT_NEAR(norm(loop[i] - Vec2{5, -2}), radius_mm, 1e-12);
      EXPECT_GE(norm(middle - Vec2{5, -2}), radius_mm - kSagitta_mm);
    }
    EXPECT_GT(loop_area_mm2(loop), 0);
    EXPECT_LE(loop_area_mm2(loop), std::numbers::pi * radius_mm * radius_mm);
  }
}

}  // namespace
}  // namespace seamwright
