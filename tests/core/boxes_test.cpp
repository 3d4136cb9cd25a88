#include "seamwright/core/boxes.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

TEST(Boxes, MeetWhenTheyShareAPoint) {
  Box3 a, beside, apart;
  a.extend({0, 0, 0});
  a.extend({1, 1, 1});
  beside.extend({1, 0.5, 0.5});
  beside.extend({2, 2, 2});
  apart.extend({0.5, 0.5, 1.01});
  apart.extend({0.6, 0.6, 2});
  EXPECT_TRUE(boxes_meet(a, a));
  EXPECT_TRUE(boxes_meet(a, beside));
  EXPECT_FALSE(boxes_meet(a, apart));
  EXPECT_FALSE(boxes_meet(apart, a));
}

}  // namespace
}  // namespace seamwright
