#include "seamwright/days/footprint.h"

#include <gtest/gtest.h>

#include "seamwright/core/random.h"
#include "seamwright/query/ray_tree.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

double total_mm2(const std::vector<Region2>& regions) {
  double total = 0;
  for (const Region2& region : regions) total += region_area_mm2(region);
  return total;
}

TEST(Footprint, OfABoxIsItsRectangle) {
  const auto regions = footprint(testing::make_box({30, 20, 10}, {5, 5, 0}), 0.01);
  ASSERT_EQ(regions.size(), 1u);
  EXPECT_NEAR(total_mm2(regions), 600, 4);
  EXPECT_GE(total_mm2(regions), 600);
}

TEST(Footprint, CoversTheShadowAndReachesLittleBeyond) {
  const Solid ring = testing::reference_part("ring");
  const double tolerance_mm = 0.05;
  const auto regions = footprint(ring, tolerance_mm);
  const RayTree tree(ring);
  Random random(1);
  const Box3 box = ring.box();
  int covered = 0;
  for (int i = 0; i < 4000; ++i) {
    const Vec2 p{random.uniform(box.low.x, box.high.x), random.uniform(box.low.y, box.high.y)};
    const bool is_shadow = tree.first_hit({p.x, p.y, box.high.z + 1}, {0, 0, -1}).has_value();
    const bool is_in = std::any_of(regions.begin(), regions.end(),
                                   [&](const Region2& r) { return region_contains(r, p); });
    EXPECT_TRUE(is_in || !is_shadow) << p.x << ' ' << p.y;
    covered += is_in ? 1 : 0;
    if (!is_in || is_shadow) continue;
    double edge_mm = 1e9;
    for (const Region2& r : regions) edge_mm = std::min(edge_mm, region_edge_distance_mm(r, p));
    EXPECT_LE(edge_mm, 3 * tolerance_mm);
  }
  EXPECT_GT(covered, 300);
}

}  // namespace
}  // namespace seamwright
