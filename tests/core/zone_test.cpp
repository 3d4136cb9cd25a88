#include "seamwright/core/zone.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

const Zone kBall{.name = "eye", .center = {10, 0, 0}, .half_size_mm = {}, .radius_mm = 5};
const Zone kBox{.name = "badge", .center = {10, 0, 0}, .half_size_mm = {4, 2, 1}};

TEST(Zone, ContainsWhatLiesInIt) {
  EXPECT_TRUE(kBall.contains({14, 0, 0}));
  EXPECT_FALSE(kBall.contains({14, 4, 0}));
  EXPECT_TRUE(kBox.contains({14, 2, 1}));
  EXPECT_FALSE(kBox.contains({14, 2, 1.1}));
}

TEST(Zone, SaysHowDeepAPlaneCutsIt) {
  EXPECT_DOUBLE_EQ(kBall.depth_mm({{1, 0, 0}, 12}), 3);
  EXPECT_LT(kBall.depth_mm({{1, 0, 0}, 16}), 0);
  // A plane along a diagonal of the box's section: reach (4 + 2) / √2.
  const double half = std::sqrt(0.5);
  EXPECT_NEAR(kBox.depth_mm({{half, half, 0}, 10 * half}), 6 * half, 1e-12);
}

TEST(Zone, IsTouchedByASegmentThatPassesThrough) {
  EXPECT_TRUE(kBall.touches({0, 0, 0}, {20, 0, 0}));
  EXPECT_FALSE(kBall.touches({0, 6, 0}, {20, 6, 0}));
  EXPECT_FALSE(kBall.touches({0, 0, 0}, {4, 0, 0}));
  EXPECT_TRUE(kBox.touches({0, 0, 0}, {20, 0, 0}));
  EXPECT_TRUE(kBox.touches({10, -5, 0}, {10, 5, 0}));
  EXPECT_FALSE(kBox.touches({0, 0, 1.5}, {20, 0, 1.5}));
  EXPECT_FALSE(kBox.touches({0, -5, 0}, {5, 5, 0}));
}

}  // namespace
}  // namespace seamwright
