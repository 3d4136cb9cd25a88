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

/// A plate of 200 × 200 × 20 mm in many faces, about the origin, with a void of 2 mm in its middle.
Solid plate_with_void() {
  const Solid plate = testing::subdivide(testing::make_box({200, 200, 20}, {-100, -100, -10}), 4);
  const Solid hole = testing::make_box({2, 2, 2}, {-1, -1, -1});
  TriangleSoup both{{plate.points().begin(), plate.points().end()},
                    {plate.triangles().begin(), plate.triangles().end()},
                    {plate.origins().begin(), plate.origins().end()}};
  const std::size_t first = both.points.size();
  for (const Triangle& t : hole.triangles())
    both.triangles.push_back({to_id<VertexId>(first + to_index(t[0])),
                              to_id<VertexId>(first + to_index(t[2])),
                              to_id<VertexId>(first + to_index(t[1]))});
  both.points.insert(both.points.end(), hole.points().begin(), hole.points().end());
  both.origins.insert(both.origins.end(), hole.origins().begin(), hole.origins().end());
  return *Solid::make(std::move(both));
}

TEST(Boolean, AVoidGoesWithTheToolRoundItAndStaysBesideOne) {
  const Solid body = plate_with_void();
  const double full_mm3 = 200 * 200 * 20;
  const std::vector<Solid> round_it{testing::make_box({9, 9, 41}, {-4.3, -4.4, -20.5})};
  EXPECT_NEAR(volume_mm3(*subtract(body, round_it)), full_mm3 - 9 * 9 * 20, 1e-5);
  EXPECT_NEAR(volume_mm3(*unite(body, round_it)), full_mm3 + 9 * 9 * 21, 1e-5);
  const std::vector<Solid> beside{testing::make_box({9, 9, 41}, {3.3, -4.4, -20.5})};
  EXPECT_NEAR(volume_mm3(*subtract(body, beside)), full_mm3 - 8 - 9 * 9 * 20, 1e-5);
}

TEST(Boolean, AToolInsideTheBodyLeavesAVoid) {
  const std::vector<Solid> inside{testing::make_box({4, 4, 4}, {40.3, 40.2, -2.1})};
  EXPECT_NEAR(volume_mm3(*subtract(plate_with_void(), inside)), 200 * 200 * 20 - 8 - 64, 1e-5);
}

TEST(Boolean, UnitesAndTakesInOneCall) {
  const Solid body = testing::make_box({40, 40, 10}, {-20, -20, 0});
  const std::vector<Tool> added{{"boss", testing::make_box({10, 10, 8}, {-5, -5, 7})}};
  const std::vector<Tool> taken{{"hole", testing::make_box({4, 4, 30}, {-2, -2, -5})},
                                {"corner", testing::make_box({6, 6, 30}, {12, 12, -5})}};
  const Solid rest = *combine(body, added, taken);
  EXPECT_NEAR(volume_mm3(rest), 16000 + 500 - 4 * 4 * 15 - 6 * 6 * 10, 1e-6);
}

/// Two boxes that cross each other, in one solid.
Solid crossing_boxes() {
  const Solid one = testing::make_box({40, 40, 10}),
              other = testing::make_box({40, 40, 10}, {9, 9, 5});
  TriangleSoup both{{one.points().begin(), one.points().end()},
                    {one.triangles().begin(), one.triangles().end()},
                    {one.origins().begin(), one.origins().end()}};
  for (const Triangle& t : other.triangles())
    both.triangles.push_back({to_id<VertexId>(to_index(t[0]) + 8),
                              to_id<VertexId>(to_index(t[1]) + 8),
                              to_id<VertexId>(to_index(t[2]) + 8)});
  both.points.insert(both.points.end(), other.points().begin(), other.points().end());
  both.origins.insert(both.origins.end(), other.origins().begin(), other.origins().end());
  return *Solid::make(std::move(both));
}

TEST(Boolean, AFailureNamesTheTool) {
  // A body that crosses itself where the tool goes in can't be cut there.
  const std::vector<Tool> taken{{"pocket \"left\"", testing::make_box({6, 6, 30}, {6, 12, -5})}};
  const Result<Solid> rest = combine(crossing_boxes(), {}, taken);
  ASSERT_FALSE(rest);
  EXPECT_EQ(rest.error().code, "boolean-failed");
  ASSERT_FALSE(rest.error().context.empty());
  EXPECT_EQ(rest.error().context[0], "pocket \"left\"");
}

TEST(Boolean, FindsWhereASolidCrossesItself) {
  const std::optional<Vec3> place = find_own_crossing(crossing_boxes());
  ASSERT_TRUE(place);
  EXPECT_LE(norm(*place - Vec3{24, 24, 7}), 40);
  EXPECT_FALSE(find_own_crossing(testing::make_box({40, 40, 10})));
}

}  // namespace
}  // namespace seamwright
