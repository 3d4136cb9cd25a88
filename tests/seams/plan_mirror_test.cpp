#include <gtest/gtest.h>

#include <algorithm>

#include "seamwright/seams/plan_seams.h"
#include "support/plans.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using testing::expect_sound;
using testing::kIsSanitized;
using testing::plan_of;
using testing::quick_options;

Plane image_of(const Plane& plane, const Plane& mirror) {
  const double along = dot(plane.normal, mirror.normal);
  return {plane.normal - mirror.normal * (2 * along),
          plane.offset_mm - 2 * mirror.offset_mm * along};
}
bool is_same_plane(const Plane& a, const Plane& b) {
  const double sign = dot(a.normal, b.normal) < 0 ? -1 : 1;
  return norm(a.normal - b.normal * sign) < 1e-9 &&
         std::abs(a.offset_mm - sign * b.offset_mm) < 1e-9 * (1 + std::abs(a.offset_mm));
}

void expect_mirrored(const PlannedSeams& planned, const Plane& mirror) {
  for (const Seam& seam : planned.plan.seams) {
    const Plane image = image_of(seam.plane, mirror);
    EXPECT_TRUE(std::any_of(planned.plan.seams.begin(), planned.plan.seams.end(),
                            [&](const Seam& other) { return is_same_plane(other.plane, image); }))
        << to_index(seam.id);
  }
}

class PlanMirror : public ::testing::Test {
 protected:
  static Plane middle_plane(const Solid& part, std::size_t axis) {
    Vec3 normal;
    normal[axis] = 1;
    return {normal, part.box().center()[axis]};
  }
};

TEST_F(PlanMirror, EverySeamHasItsImageAndEveryPieceFits) {
  if (kIsSanitized) return;
  for (const char* name : {"ring"}) {
    const Solid part = testing::reference_part(name);
    PlanOptions options = quick_options();
    options.mirror = middle_plane(part, 0);
    const PlannedSeams planned = plan_of(part, options);
    ASSERT_GE(planned.plan.seams.size(), 2u) << name;
    expect_mirrored(planned, *options.mirror);
    options.mirror.reset();
    expect_sound(part, planned, options);
    // Left and right alike costs something over the free plan, not a multiple of it.
    const PlannedSeams free = plan_of(part, options);
    EXPECT_LT(planned.maker_h, 1.35 * free.maker_h) << name;
  }
}

TEST_F(PlanMirror, APartThatFitsIsNotCut) {
  PlanOptions options = quick_options();
  const Solid part = testing::make_box({100, 80, 60});
  options.mirror = middle_plane(part, 1);
  EXPECT_TRUE(plan_of(part, options).plan.seams.empty());
}

// A box of 300 × 170 × 170 in a room of 180: one cut in the mirror plane is the best there is.
TEST_F(PlanMirror, ASeamInTheMirrorPlaneIsItsOwnImage) {
  PlanOptions options = quick_options();
  const Solid part = testing::subdivide(testing::make_box({300, 170, 170}), 3);
  options.mirror = middle_plane(part, 0);
  const PlannedSeams planned = plan_of(part, options);
  ASSERT_EQ(planned.plan.seams.size(), 1u);
  EXPECT_TRUE(is_same_plane(planned.plan.seams[0].plane, *options.mirror));
}

TEST_F(PlanMirror, IsTheSameOnAnyThreadCount) {
  PlanOptions options = quick_options();
  const Solid part = testing::make_box({420, 60, 50});
  options.mirror = middle_plane(part, 0);
  const PlannedSeams one = plan_of(part, options, seamwright::Run{.thread_count = 1});
  for (const int threads : {2, 7}) {
    if (kIsSanitized && threads == 7) continue;
    const PlannedSeams other = plan_of(part, options, seamwright::Run{.thread_count = threads});
    ASSERT_EQ(other.plan.seams.size(), one.plan.seams.size());
    for (std::size_t i = 0; i < one.plan.seams.size(); ++i)
      EXPECT_EQ(other.plan.seams[i].plane, one.plan.seams[i].plane);
  }
}

}  // namespace
}  // namespace seamwright
