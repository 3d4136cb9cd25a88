#include "seamwright/joints/joint_sample.h"

#include <gtest/gtest.h>

#include "joints/box_pair.h"
#include "joints/self_crossing.h"

namespace seamwright {
namespace {

TEST(JointSample, CutsASliceOfBothHalvesWithTheKeysInThem) {
  const auto pair = testing::box_pair({120, 12, 50});
  const KeyedPieces out = testing::keyed(pair, {.has_marks = false});
  ASSERT_GE(out.joints[0].keys.size(), 2u);
  const Vec3 at = out.joints[0].keys[0].at;
  const JointSample sample =
      cut_joint_sample(out.solids[0], out.solids[1], {}, {pair.plan.seams[0].plane, at, {1, 0, 0}})
          .value();
  ASSERT_EQ(sample.halves.size(), 2u);
  for (const Solid& half : sample.halves) {
    EXPECT_FALSE(find_open_edge(half.points(), half.triangles()));
    EXPECT_EQ(testing::float_crossings(half), 0u);
    EXPECT_LE(half.box().size().x, 30 + 1e-9);
    EXPECT_LE(half.box().size().z, 20 + 1e-9);
    EXPECT_NEAR(half.box().size().y, 12, 1e-9);
    std::size_t key_faces = 0;
    for (const Origin& origin : half.origins()) key_faces += origin.kind == OriginKind::key;
    EXPECT_GE(key_faces, 32u);
  }
}

TEST(JointSample, StandsOnTheCutFarFromTheSeam) {
  const auto pair = testing::box_pair({120, 12, 50});
  const KeyedPieces out = testing::keyed(pair);
  const JointSample sample = cut_joint_sample(out.solids[0], out.solids[1], {},
                                              {pair.plan.seams[0].plane, {60, 6, 0}, {1, 0, 0}})
                                 .value();
  for (std::size_t i = 0; i < 2; ++i) {
    const Vec3 down{0, 0, i == 0 ? 1.0 : -1.0};
    const Solid on_bed = sample.halves[i].transformed(sample_pose(sample.halves[i], down));
    EXPECT_NEAR(norm(on_bed.box().low), 0, 1e-9);
    EXPECT_NEAR(on_bed.box().size().z, 20, 1e-9);
  }
}

TEST(JointSample, SaysWhereNothingIs) {
  const auto pair = testing::box_pair({120, 12, 50});
  const auto sample = cut_joint_sample(pair.pieces[0].solid, pair.pieces[1].solid, {},
                                       {pair.plan.seams[0].plane, {900, 6, 0}, {1, 0, 0}});
  ASSERT_FALSE(sample);
  EXPECT_EQ(sample.error().code, "no-sample");
}

}  // namespace
}  // namespace seamwright
