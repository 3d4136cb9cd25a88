#include "seamwright/joints/gauge.h"

#include <gtest/gtest.h>

#include "joints/self_crossing.h"

namespace seamwright {
namespace {

TEST(Gauge, IsClosedAndDoesNotCrossItself) {
  const Gauge gauge = make_gauge().value();
  for (const Solid* solid : {&gauge.plate, &gauge.pins}) {
    EXPECT_FALSE(find_open_edge(solid->points(), solid->triangles()));
    EXPECT_EQ(testing::float_crossings(*solid), 0u);
    EXPECT_EQ(solid->box().low.z, 0);
  }
  EXPECT_GE(gauge.plate.box().low.y - gauge.pins.box().high.y, 4);
}

TEST(Gauge, HolesAreWiderStepByStep) {
  const GaugeOptions options;
  const Gauge gauge = make_gauge(options).value();
  ASSERT_EQ(gauge.clearances_mm.size(), 8u);
  // Radii of all hole walls: the distance of each wall to the nearest hole's axis is one of them.
  std::vector<std::size_t> walls(8);
  double pitch = 0;
  const double length = gauge.plate.box().size().x;
  pitch = (length - 3) / 8;
  for (std::size_t f = 0; f < gauge.plate.face_count(); ++f) {
    if (gauge.plate.origins()[f].kind != OriginKind::key) continue;
    const Vec3 normal = normalized(gauge.plate.area_normal(to_id<FaceId>(f)));
    if (std::abs(normal.z) > 1e-9) continue;
    const Vec3 corner = gauge.plate.corners(to_id<FaceId>(f))[0];
    const auto hole = static_cast<std::size_t>((corner.x - 3) / pitch);
    const double widest = 6 + 2 * gauge.clearances_mm.back();
    const Vec3 axis{3 + (static_cast<double>(hole) + 0.5) * pitch,
                    gauge.plate.box().high.y - 3 - widest / 2, 0};
    EXPECT_NEAR(std::abs(dot(corner - axis, normal)), 3 + gauge.clearances_mm.at(hole), 1e-6);
    ++walls[hole];
  }
  for (std::size_t count : walls) EXPECT_GE(count, 32u);
}

TEST(Gauge, PinsAreNeverWiderThanNominal) {
  const Gauge gauge = make_gauge().value();
  const Box3& box = gauge.pins.box();
  for (std::size_t f = 0; f < gauge.pins.face_count(); ++f) {
    if (gauge.pins.origins()[f].kind != OriginKind::key) continue;
    for (Vec3 p : gauge.pins.corners(to_id<FaceId>(f))) {
      const double share = p.x < box.center().x ? 0.25 : 0.75;
      const Vec3 axis{box.low.x + share * box.size().x, box.center().y, p.z};
      EXPECT_LE(norm(p - axis), 3 + 1e-9);
    }
  }
}

TEST(Gauge, RefusesMoreHolesThanABedHolds) {
  const auto gauge = make_gauge({.hole_count = 40});
  ASSERT_FALSE(gauge);
  EXPECT_EQ(gauge.error().code, "gauge-failed");
}

}  // namespace
}  // namespace seamwright
