#include "seams/slide.h"

#include <gtest/gtest.h>

#include "search_bench.h"

namespace seamwright::search {
namespace {

double left_end() {
  return bar().box().low.x;
}

struct Row {
  Bench bench{bar()};
  PlanPricer pricer{bench.mesh, bench.prices, bench.rules};
  Random random{1, 1};
  PlanPtr plan =
      slices(pricer, bench.body, std::array{left_end() + 180, left_end() + 340, left_end() + 450});
  PlanPtr replayed(const PlanPtr& shape) {
    return pricer.replay_moved(plan->body, shape->plane, *shape);
  }
};

double place(const PlanNode& plan, std::uint32_t seam) {
  return seam_at(plan, seam).plane.offset_mm - left_end();
}

TEST(Slide, ARowMovesAsOneAndIsPricedAnew) {
  Row row;
  const Transform back{.shift = {-10, 3, 0}};  // along the seams' planes nothing changes
  const PlanPtr slid_row = row.replayed(slid(*row.plan, back, 1, row.random));
  const PlanPtr cut_there = slices(
      row.pricer, row.bench.body, std::array{left_end() + 170, left_end() + 330, left_end() + 440});
  ASSERT_EQ(slid_row->pieces, 4U);
  for (std::uint32_t i = 0; i < 3; ++i)
    EXPECT_NEAR(place(*slid_row, i), place(*cut_there, i), 1e-9);
  EXPECT_NEAR(slid_row->total_h, cut_there->total_h, 1e-9);
}

TEST(Slide, WhatIsNotTakenAlongOrLockedStays) {
  Row row;
  const Transform back{.shift = {-10, 0, 0}};
  const PlanPtr alone = row.replayed(slid(*row.plan, back, 0, row.random));
  EXPECT_NEAR(place(*alone, 0), 170, 1e-9);
  EXPECT_NEAR(place(*alone, 1), 340, 1e-9);
  const PlanNode& second = seam_at(*row.plan, 1);
  const PlanPtr locked = change_seam(row.plan, 1, [&](const PlanPtr&) {
    return PlanPricer::join(second.body, second.plane, true, second.own_h, second.above,
                            second.below);
  });
  const PlanPtr past_lock = row.replayed(slid(*locked, back, 1, row.random));
  EXPECT_NEAR(place(*past_lock, 0), 170, 1e-9);
  EXPECT_NEAR(place(*past_lock, 1), 340, 1e-9);
  EXPECT_NEAR(place(*past_lock, 2), 450, 1e-9);
}

TEST(Slide, ATurnKeepsItsPivotInThePlane) {
  const Plane plane{normalized(Vec3{1, 2, -1}), 40};
  const Vec3 pivot = plane.normal * 40 + any_perpendicular(plane.normal) * 25;
  const Vec3 axis = cross(plane.normal, any_perpendicular(plane.normal));
  const Plane turned = moved(plane, turn_about(pivot, axis, Angle::degrees(7)));
  EXPECT_NEAR(turned.distance(pivot), 0, 1e-12);
  EXPECT_NEAR(dot(turned.normal, plane.normal), std::cos(Angle::degrees(7).radians()), 1e-12);
  EXPECT_NEAR(dot(turned.normal, axis), 0, 1e-12);
}

}  // namespace
}  // namespace seamwright::search
