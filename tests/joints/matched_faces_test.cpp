#include "seamwright/joints/matched_faces.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

JointFace face(std::size_t above, std::size_t below, double area_mm2) {
  return {to_id<SeamId>(1), to_id<PieceId>(above), to_id<PieceId>(below), {}, area_mm2};
}

TEST(MatchFaces, DropsSpecksThatWereNotThereBefore) {
  const std::vector<JointFace> before{face(0, 1, 300), face(0, 2, 200)};
  std::vector<JointFace> again{face(0, 1, 280), face(0, 2, 190), face(0, 2, 0.3)};
  EXPECT_TRUE(match_faces(before, again));
  EXPECT_EQ(again.size(), 2u);
}

TEST(MatchFaces, KeepsFacesThatWereSmallBefore) {
  const std::vector<JointFace> before{face(0, 1, 300), face(0, 2, 5)};
  std::vector<JointFace> again{face(0, 1, 280), face(0, 1, 2), face(0, 2, 4)};
  EXPECT_TRUE(match_faces(before, again));
  EXPECT_EQ(again[1].area_mm2, 4);
}

TEST(MatchFaces, SeesPiecesThatMeetElsewhereToo) {
  const std::vector<JointFace> before{face(0, 1, 300)};
  std::vector<JointFace> split{face(0, 1, 150), face(0, 1, 150)};
  EXPECT_FALSE(match_faces(before, split));
  std::vector<JointFace> other{face(0, 2, 300)};
  EXPECT_FALSE(match_faces(before, other));
}

}  // namespace
}  // namespace seamwright
