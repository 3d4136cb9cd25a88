#include "seamwright/seams/seat_zone.h"

#include <gtest/gtest.h>

#include <numbers>

#include "seamwright/core/random.h"

namespace seamwright {
namespace {

/// A seat 12 deep and 8 wide about a slanted axis.
SeatZone slanted_seat(bool is_round) {
  const Vec3 axis = normalized(Vec3{1, 2, 2}), across = any_perpendicular(axis);
  return {.name = "lamp",
          .middle = {10, -5, 3},
          .half_edges = {axis * 6, across * 4, cross(axis, across) * 4},
          .is_round = is_round};
}

/// The farthest of many points of the seat's surface along a direction.
double reach_by_points(const SeatZone& seat, Vec3 way) {
  double most = 0;
  for (int k = 0; k < 720; ++k) {
    const double turn = 2 * std::numbers::pi * k / 720;
    const double cosine = std::cos(turn), sine = std::sin(turn);
    const double out = seat.is_round ? 1.0 : 1 / std::max(std::abs(cosine), std::abs(sine));
    for (const double end : {-1.0, 1.0}) {
      const Vec3 p = seat.half_edges[0] * end + seat.half_edges[1] * (cosine * out) +
                     seat.half_edges[2] * (sine * out);
      most = std::max(most, dot(p, way));
    }
  }
  return most;
}

TEST(SeatZone, APlaneLeavesItWhenMovedByItsDepth) {
  Random random(3, 1);
  for (const bool is_round : {true, false}) {
    const SeatZone seat = slanted_seat(is_round);
    for (int i = 0; i < 50; ++i) {
      const Vec3 normal = random.direction();
      const double reach = reach_by_points(seat, normal);
      const double beside = random.uniform(-10, 10);
      const Plane plane{normal, dot(normal, seat.middle) + beside};
      EXPECT_NEAR(seat.depth_mm(plane), reach - std::abs(beside), 2e-3);
    }
  }
}

TEST(SeatZone, APlaneBesideItHasNoDepth) {
  const SeatZone seat = slanted_seat(true);
  const Vec3 axis = normalized(seat.half_edges[0]);
  EXPECT_LT(seat.depth_mm({axis, dot(axis, seat.middle) + 6.1}), 0);
  EXPECT_GT(seat.depth_mm({axis, dot(axis, seat.middle) + 5.9}), 0);
}

}  // namespace
}  // namespace seamwright
