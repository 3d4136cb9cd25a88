#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "seamwright/query/ray_tree.h"
#include "seamwright/query/sight.h"
#include "seamwright/wiring/funnels.h"
#include "seamwright/wiring/wire_part.h"
#include "support/stl.h"

namespace seamwright {
namespace {

using ::testing::HasSubstr;

struct HalfShell {
  Solid solid = testing::reference_part("shell");
  std::vector<double> sight = *face_sight(solid, {.mode = SightMode::worn, .rays_per_face = 16});
};
const HalfShell& half_shell() {
  static const HalfShell shell;
  return shell;
}

WireSpec across_the_shell() {
  return {.name = "spine", .from = {-210, 20, 120}, .to = {210, -20, 120}, .diameter_mm = 5};
}

TEST(Ribs, AHalfShellOfThreeMillimetresGetsATunnelOfFive) {
  const auto& [solid, sight] = half_shell();
  const WiredPart wired = *wire_part(solid, {.wires = {across_the_shell()}}, sight);
  const Channel& channel = wired.channels[0];
  EXPECT_EQ(channel.kind, "rib");
  EXPECT_GT(channel.length_mm, 400);
  EXPECT_GE(channel.least_wall_mm, 1.4);
  EXPECT_GE(channel.least_bend_mm, 15);
}

TEST(Ribs, CrossTwoSeamsSquarelyWithAFunnelAtEach) {
  const auto& [solid, sight] = half_shell();
  const WiredPart wired = *wire_part(solid, {.wires = {across_the_shell()}}, sight);
  SeamPlan plan = *apply(SeamPlan{}, AddSeam{.plane = {{1, 0, 0}, 71.3}});
  plan = *apply(plan, AddSeam{plan.seams[0].id, Side::below, {{1, 0, 0}, -68.9}});
  const std::vector<JointFace> faces = *find_joint_faces(plan, *cut_plan(wired.solid, plan));
  const auto crossings = find_crossings(plan, faces, wired.channels);
  ASSERT_EQ(crossings.size(), 2u);
  const Solid funnelled = *cut_funnels(wired.solid, plan, crossings, wired.channels);
  const RayTree tree(funnelled);
  for (const SeamCrossing& crossing : crossings) {
    EXPECT_GE(crossing.angle.degrees(), 45);
    // In the seam's plane, across the way: the bore's radius and the funnel's 0.7 mm.
    const Vec3 across =
        normalized(cross(find_seam(plan, crossing.seam)->plane.normal, crossing.along));
    for (const Vec3 side : {across, -across})
      EXPECT_NEAR(tree.first_hit(crossing.at, side, 0)->distance_mm, 2.5 + 0.7, 0.08);
  }
  EXPECT_EQ(cut_plan(funnelled, plan)->size(), 3u);
}

TEST(Ribs, LeaveTheShowSideUntouchedToTheBit) {
  const auto& [solid, sight] = half_shell();
  const WiredPart wired = *wire_part(solid, {.wires = {across_the_shell()}}, sight);
  std::size_t shown = 0, same = 0;
  for (const double s : sight) shown += s > 0.5;
  for (std::size_t f = 0; f < wired.solid.face_count(); ++f) {
    const Origin origin = wired.solid.origins()[f];
    if (origin.kind != OriginKind::skin || sight[origin.id] <= 0.5) continue;
    auto corners = wired.solid.corners(to_id<FaceId>(f));
    const auto old = solid.corners(to_id<FaceId>(origin.id));
    for (int turn = 0; turn < 3 && corners != old; ++turn)
      std::rotate(corners.begin(), corners.begin() + 1, corners.end());
    same += corners == old;
  }
  EXPECT_GT(shown, 1000u);
  EXPECT_EQ(same, shown);
}

TEST(Ribs, AreRefusedWhileTheHiddenSideIsUnknown) {
  const Result<WiredPart> wired = wire_part(half_shell().solid, {.wires = {across_the_shell()}});
  ASSERT_FALSE(wired);
  std::string words = wired.error().message;
  for (const std::string& line : wired.error().context) words += " " + line;
  EXPECT_THAT(words, HasSubstr("worn_side"));
}

}  // namespace
}  // namespace seamwright
