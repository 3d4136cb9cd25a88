#include "seamwright/pose/pose.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

TEST(Pose, FeetAreInOrderOfPreference) {
  EXPECT_LT(Foot::joint_face, Foot::flat_side);
  EXPECT_LT(Foot::flat_side, Foot::supports);
  EXPECT_LT(Foot::supports, Foot::tilted);
}

TEST(Pose, IsUnstableUntilFoundOtherwise) {
  EXPECT_FALSE(Pose{}.is_stable);
}

}  // namespace
}  // namespace seamwright
