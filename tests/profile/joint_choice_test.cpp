#include "seamwright/profile/joint_choice.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

TEST(JointChoice, IsMeantForASeamForAPairOrForAPairOnASeam) {
  const JointChoice seam{"S3", {}, KeyKind::pin}, pair{"", {"A1", "B2"}, KeyKind::pin};
  const JointChoice both{"S3", {"A1", "B2"}, KeyKind::pin};
  for (const JointChoice& choice : {seam, pair, both}) {
    EXPECT_TRUE(is_meant(choice, "S3", "A1", "B2"));
    EXPECT_TRUE(is_meant(choice, "S3", "B2", "A1"));
    EXPECT_FALSE(is_meant(choice, "S4", "A1", "A2"));
  }
  EXPECT_TRUE(is_meant(seam, "S3", "A1", "A2"));
  EXPECT_FALSE(is_meant(both, "S3", "A1", "A2"));
  EXPECT_TRUE(is_meant(pair, "S4", "A1", "B2"));
  EXPECT_FALSE(is_meant(both, "S4", "A1", "B2"));
  EXPECT_FALSE(is_meant(JointChoice{}, "S3", "A1", "B2")) << "names nothing";
}

}  // namespace
}  // namespace seamwright
