#include "seamwright/cut/boolean.h"

#include <gtest/gtest.h>

#include "seamwright/mesh/save.h"
#include "seamwright/query/mass_properties.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

Solid rod_through(Vec3 at, double radius_mm, double length_mm) {
  return testing::make_cylinder(radius_mm, length_mm).transformed({.shift = at});
}

TEST(Boolean, WithoutToolsTheBodyComesBack) {
  const Solid body = testing::make_box({10, 10, 10});
  EXPECT_EQ(subtract(body, {})->face_count(), body.face_count());
}

TEST(Boolean, TakesAwayTheCommonVolume) {
  const Solid body = testing::make_box({40, 40, 10}, {-20, -20, 0});
  const Solid tool = rod_through({0, 0, -2}, 5, 20);
  const std::vector<Solid> tools{tool};
  const Solid rest = *subtract(body, tools);
  // The tool is a prism: the share of its height inside the body is taken.
  EXPECT_NEAR(volume_mm3(rest), volume_mm3(body) - volume_mm3(tool) / 2, 1e-6);
}

TEST(Boolean, ToolsThatMeetAreUnitedFirst) {
  const Solid body = testing::make_box({60, 40, 10}, {-30, -20, 0});
  const std::vector<Solid> tools{rod_through({0, 0, -2}, 5, 20), rod_through({4, 0.5, -3}, 5, 20),
                                 rod_through({-20, 0, -2}, 3, 20)};
  const Solid rest = *subtract(body, tools);
  EXPECT_LT(volume_mm3(rest), volume_mm3(body) - volume_mm3(tools[0]) / 2);
  EXPECT_GT(volume_mm3(rest), volume_mm3(body) - volume_mm3(tools[0]) / 2 -
                                  volume_mm3(tools[1]) / 2 - volume_mm3(tools[2]) / 2);
}

TEST(Boolean, FacesNoToolTouchesAreUnchangedToTheBit) {
  const Solid body = testing::reference_part("elephant");
  const Vec3 middle = body.box().center();
  const std::vector<Solid> tools{
      rod_through({middle.x, middle.y, body.box().low.z - 5}, 4, body.box().size().z + 10)};
  const Solid rest = *subtract(body, tools);
  std::size_t same = 0, checked = 0;
  for (std::size_t f = 0; f < rest.face_count(); ++f) {
    const Origin origin = rest.origins()[f];
    if (origin.kind != OriginKind::skin) continue;
    const auto corners = rest.corners(to_id<FaceId>(f));
    const auto old = body.corners(to_id<FaceId>(origin.id));
    ++checked;
    for (int turn = 0; turn < 3; ++turn) {
      if (corners[0] == old[turn] && corners[1] == old[(turn + 1) % 3] &&
          corners[2] == old[(turn + 2) % 3])
        ++same;
    }
  }
  EXPECT_GT(same, body.face_count() * 98 / 100);
  EXPECT_GT(checked, same);
}

}  // namespace
}  // namespace seamwright
