#include "seamwright/joints/edge_grooves.h"

#include <gtest/gtest.h>

#include "joints/box_pair.h"
#include "joints/self_crossing.h"
#include "seamwright/cut/boolean.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

/// A wall of the given thickness, its side towards +y hidden, a seam at z = 0.
struct Wall {
  testing::PosedParts pair;
  Solid whole;
  std::vector<double> sight;
  explicit Wall(double width_mm)
      : pair(testing::box_pair({120, width_mm, 60})),
        whole(testing::subdivide(testing::make_box({120, width_mm, 120}, {0, 0, -60}), 2)) {
    for (std::size_t f = 0; f < whole.face_count(); ++f)
      sight.push_back(whole.area_normal(to_id<FaceId>(f)).y > 0 ? 0.0 : 1.0);
  }
  EdgeGrooves grooves(SeamEdge edge) const {
    return plan_edge_grooves(pair.plan, pair.faces, {&whole, sight}, edge);
  }
};

TEST(EdgeGrooves, RunAlongTheShownEdgeOnly) {
  const Wall wall(4);
  const EdgeGrooves grooves = wall.grooves(SeamEdge::weld);
  ASSERT_FALSE(grooves.tools.empty());
  for (const Solid& tool : grooves.tools) {
    EXPECT_FALSE(find_open_edge(tool.points(), tool.triangles()));
    EXPECT_GT(volume_mm3(tool), 0);
    EXPECT_LE(tool.box().high.y, 4.01);  // nothing beyond the hidden side
  }
  EXPECT_GE(grooves.grooved_mm, 110);
}

TEST(EdgeGrooves, AreAtMostFortyPercentOfTheWall) {
  for (double width : {1.5, 2.0, 3.0, 6.0}) {
    const EdgeGrooves grooves = Wall(width).grooves(SeamEdge::weld);
    EXPECT_LE(grooves.deepest_ratio, 0.4 + 1e-6) << width;
    EXPECT_GT(grooves.deepest_ratio, 0.1) << width;
  }
  EXPECT_TRUE(Wall(1.0).grooves(SeamEdge::weld).tools.empty());  // too thin for any
}

TEST(EdgeGrooves, TakeATriangleOfThePresetsSize) {
  // A triangle w wide and d deep with a flat of 0.1: area (w + 0.1) d / 2 (plane geometry).
  for (const SeamEdge edge : {SeamEdge::weld, SeamEdge::filler}) {
    const Wall wall(6);
    const EdgeGrooves grooves = wall.grooves(edge);
    const GrooveSize size = groove_size(edge);
    const auto cut = subtract(wall.whole, grooves.tools);
    ASSERT_TRUE(cut) << cut.error().message;
    const double area = (size.width_mm + 0.1) * size.depth_mm / 2;
    EXPECT_NEAR(volume_mm3(wall.whole) - volume_mm3(*cut), area * grooves.grooved_mm,
                0.1 * area * grooves.grooved_mm);
    EXPECT_EQ(testing::float_crossings(*cut), 0u);
  }
}

TEST(EdgeGrooves, AreNotMadeUnlessAskedForOrWhileTheShowSideIsUnknown) {
  const Wall wall(6);
  EXPECT_TRUE(wall.grooves(SeamEdge::none).tools.empty());
  EXPECT_TRUE(plan_edge_grooves(wall.pair.plan, wall.pair.faces, {}, SeamEdge::weld).tools.empty());
}

}  // namespace
}  // namespace seamwright
