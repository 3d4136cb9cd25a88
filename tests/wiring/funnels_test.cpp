#include "seamwright/wiring/funnels.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "seamwright/query/mass_properties.h"
#include "seamwright/query/ray_tree.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

/// A block with one bore along x, cut across at x = 50 by a plane turned by `askew`.
struct CutBlock {
  WiredPart wired;
  SeamPlan plan;
  std::vector<JointFace> faces;
  explicit CutBlock(Angle askew)
      : wired(*wire_part(
            testing::make_box({100, 60, 30}),
            {.wires = {
                 {.name = "glow", .from = {0, 30, 15}, .to = {100, 30, 15}, .diameter_mm = 5}}})) {
    const Vec3 normal{std::cos(askew.radians()), std::sin(askew.radians()), 0};
    plan = *apply(SeamPlan{}, AddSeam{.plane = {normal, dot(normal, Vec3{50, 30, 15})}});
    faces = *find_joint_faces(plan, *cut_plan(wired.solid, plan));
  }
};

TEST(Funnels, ACrossingSaysWhereAndHowSquarely) {
  const CutBlock cut(Angle::degrees(20));
  const auto crossings = find_crossings(cut.plan, cut.faces, cut.wired.channels);
  ASSERT_EQ(crossings.size(), 1u);
  EXPECT_NEAR(norm(crossings[0].at - Vec3{50, 30, 15}), 0, 1e-9);
  EXPECT_NEAR(crossings[0].angle.degrees(), 70, 1e-6);
  EXPECT_NEAR(crossings[0].way_mm, 50, 1.1);  // samples are 1 mm apart
  EXPECT_NE(crossings[0].before, crossings[0].after);
}

TEST(Funnels, ABoreIsWiderOnBothSidesOfItsSeamByAsMuchAsAsked) {
  for (const double degrees : {0.0, 30.0}) {
    const CutBlock cut(Angle::degrees(degrees));
    const auto crossings = find_crossings(cut.plan, cut.faces, cut.wired.channels);
    const Solid funnelled =
        *cut_funnels(cut.wired.solid, cut.plan, crossings, cut.wired.channels, 0.7);
    const RayTree tree(funnelled);
    for (const double beside : {-1.0, 0.0, 1.0}) {
      // Across the bore, in the seam's plane: 2.5 + 0.7 at the seam, 2.5 a millimetre off it.
      const Vec3 at = Vec3{50, 30, 15} + crossings[0].along * beside;
      const double free_mm = tree.first_hit(at, {0, 0, 1}, 0)->distance_mm;
      EXPECT_NEAR(free_mm, beside == 0 ? 3.2 : 2.5, 0.04) << degrees << ' ' << beside;
    }
    const Result<std::vector<CutPiece>> pieces = cut_plan(funnelled, cut.plan);
    ASSERT_EQ(pieces->size(), 2u);
    EXPECT_NEAR(volume_mm3((*pieces)[0].solid) + volume_mm3((*pieces)[1].solid),
                volume_mm3(funnelled), 1e-6);
  }
}

TEST(Funnels, WithoutCrossingsThePartComesBack) {
  const CutBlock cut(Angle::degrees(0));
  EXPECT_EQ(cut_funnels(cut.wired.solid, cut.plan, {}, cut.wired.channels)->face_count(),
            cut.wired.solid.face_count());
}

}  // namespace
}  // namespace seamwright
