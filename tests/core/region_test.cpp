#include "seamwright/core/region.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

const Region2 kSquareWithHole{{{0, 0}, {10, 0}, {10, 10}, {0, 10}},
                              {{{4, 4}, {4, 6}, {6, 6}, {6, 4}}}};

TEST(Region, AreaTakesHolesOff) {
  EXPECT_DOUBLE_EQ(region_area_mm2(kSquareWithHole), 96);
  EXPECT_DOUBLE_EQ(loop_area_mm2(kSquareWithHole.holes[0]), -4);
}

TEST(Region, ContainsIsEvenOdd) {
  EXPECT_TRUE(region_contains(kSquareWithHole, {1, 1}));
  EXPECT_FALSE(region_contains(kSquareWithHole, {5, 5}));
  EXPECT_FALSE(region_contains(kSquareWithHole, {11, 5}));
}

TEST(Region, EdgeDistanceIsToTheNearestLoop) {
  EXPECT_DOUBLE_EQ(region_edge_distance_mm(kSquareWithHole, {3, 5}), 1);
  EXPECT_DOUBLE_EQ(region_edge_distance_mm(kSquareWithHole, {1, 5}), 1);
  EXPECT_DOUBLE_EQ(region_edge_distance_mm(kSquareWithHole, {13, 14}), 5);
}

}  // namespace
}  // namespace seamwright
