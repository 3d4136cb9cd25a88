#include "seamwright/joints/shaped_part.h"

#include <gtest/gtest.h>

#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using testing::make_box;

Flange flange_of(std::vector<Solid> ridges, std::vector<Solid> drills) {
  Flange flange;
  flange.ridges = std::move(ridges);
  flange.drills = std::move(drills);
  return flange;
}

// Bodies that share one edge make no manifold: the booleans refuse them. One such flange of twenty
// once cost a split all the others, and minutes, for they were taken back one at a time.
TEST(ShapedPart, LeavesOutOnlyTheFlangesThatTheBooleansRefuse) {
  const Solid part = make_box({100, 40, 10});
  const Solid ridge = make_box({8, 8, 8}, {20, 10, 5}), hole = make_box({2.5, 20, 1}, {22, 5, 11});
  Shapes shapes;
  shapes.flanges.push_back(flange_of({make_box({10, 10, 10}, {100, 40, 0})}, {}));
  shapes.flanges.push_back(flange_of({ridge}, {hole}));
  shapes.flanges.push_back(
      flange_of({make_box({8, 8, 8}, {58, 12, 5})},
                {make_box({2, 2, 25}, {60, 15, -5}), make_box({2, 2, 25}, {62, 17, -5})}));
  const ShapedPart made = shaped_part(part, shapes);
  ASSERT_EQ(made.refused.flanges.size(), 2u);
  EXPECT_EQ(made.refused.flanges[0].place, 0u);
  EXPECT_EQ(made.refused.flanges[1].place, 2u) << "its screws can't be drilled";
  EXPECT_FALSE(made.refused.flanges[0].why.empty());
  EXPECT_TRUE(made.refused.grooves.empty());
  EXPECT_TRUE(made.refused.marks.empty());
  EXPECT_NEAR(volume_mm3(made.solid), 40000 + 8 * 8 * 3 - 2.5 * 8 * 1, 1e-6);
}

TEST(ShapedPart, IsThePartWhereNothingIsAskedFor) {
  const Solid part = make_box({100, 40, 10});
  EXPECT_EQ(shaped_part(part, {}).solid.face_count(), part.face_count());
}

}  // namespace
}  // namespace seamwright
