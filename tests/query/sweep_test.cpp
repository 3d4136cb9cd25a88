#include "seamwright/query/sweep.h"

#include <gtest/gtest.h>

#include "seamwright/core/random.h"
#include "seamwright/query/section.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

struct PlaneSums {
  double shown_mm = 0, hidden_mm = 0, area_mm2 = 0;
};

/// The plane-by-plane sum over section()'s edges.
PlaneSums plane_sums(const Solid& solid, std::span<const double> sight, const Plane& plane) {
  PlaneSums sums;
  for (const SectionLoop& loop : section(solid, plane)) {
    sums.area_mm2 += loop_area_mm2(loop.points);
    for (std::size_t i = 0; i < loop.points.size(); ++i) {
      const FaceId face = loop.faces[i];
      if (solid.origin(face).kind != OriginKind::skin) continue;
      const double sine = norm(cross(normalized(solid.area_normal(face)), plane.normal));
      const double length = norm(loop.points[(i + 1) % loop.points.size()] - loop.points[i]) *
                            (sine < 0.5 ? std::min(4.0, 0.5 / sine) : 1.0);
      sums.shown_mm += sight[to_index(face)] * length;
      sums.hidden_mm += (1 - sight[to_index(face)]) * length;
    }
  }
  return sums;
}

std::vector<double> random_sight(std::size_t n) {
  Random random(5);
  std::vector<double> sight(n);
  for (double& s : sight) s = random.uniform();
  return sight;
}

std::vector<double> offsets_over(const Solid& solid, Vec3 normal, std::size_t count) {
  double low = 1e9, high = -1e9;
  for (Vec3 p : solid.points())
    low = std::min(low, dot(normal, p)), high = std::max(high, dot(normal, p));
  std::vector<double> offsets;
  for (std::size_t i = 0; i < count; ++i) {
    offsets.push_back(low +
                      (high - low) * (static_cast<double>(i) - 2) / static_cast<double>(count - 5));
  }
  return offsets;
}

void expect_plane_by_plane(const Solid& solid, Vec3 normal, const std::vector<double>& offsets) {
  const std::vector<double> sight = random_sight(solid.face_count());
  const SweepResult swept = sweep(solid, sight, normal, offsets);
  std::vector<PlaneSums> sums;
  double longest = 0, largest = 0;
  for (double offset : offsets) {
    sums.push_back(plane_sums(solid, sight, {normal, offset}));
    longest = std::max(longest, sums.back().shown_mm + sums.back().hidden_mm);
    largest = std::max(largest, sums.back().area_mm2);
  }
  for (std::size_t i = 0; i < offsets.size(); ++i) {
    ASSERT_NEAR(swept.shown_mm[i], sums[i].shown_mm, 1e-12 * longest) << i;
    ASSERT_NEAR(swept.hidden_mm[i], sums[i].hidden_mm, 1e-12 * longest) << i;
    ASSERT_NEAR(swept.area_mm2[i], sums[i].area_mm2, 1e-12 * largest) << i;
  }
}

TEST(Sweep, EqualsThePlaneByPlaneSumOnAnElephant) {
  const Solid elephant = testing::reference_part("elephant");
  const Vec3 normal = normalized({1, 2, 3});
  expect_plane_by_plane(elephant, normal, offsets_over(elephant, normal, 60));
}

TEST(Sweep, EqualsThePlaneByPlaneSumThroughVerticesAndFaces) {
  const Solid ring = testing::reference_part("ring"),
              box = testing::subdivide(testing::make_box({30, 20, 10}), 3);
  std::vector<double> heights;
  for (Vec3 p : ring.points()) heights.push_back(p.z);
  std::sort(heights.begin(), heights.end());
  expect_plane_by_plane(
      ring, {0, 0, 1},
      heights.size() > 200 ? std::vector(heights.begin(), heights.begin() + 200) : heights);
  heights.erase(std::unique(heights.begin(), heights.end()), heights.end());
  expect_plane_by_plane(ring, {0, 0, 1}, heights);
  expect_plane_by_plane(box, {0, 0, 1}, {-1, 0, 0.625, 1.25, 5, 5.1, 10, 11});
}

TEST(Sweep, OfABoxIsItsClosedForm) {
  const Solid box = testing::subdivide(testing::make_box({30, 20, 10}), 2);
  const std::vector<double> sight(box.face_count(), 0.25), offsets{-3, 2, 7, 10.5};
  const SweepResult swept = sweep(box, sight, {0, 0, 1}, offsets);
  EXPECT_DOUBLE_EQ(swept.shown_mm[0], 0);
  EXPECT_DOUBLE_EQ(swept.shown_mm[1], 25);
  EXPECT_DOUBLE_EQ(swept.hidden_mm[2], 75);
  EXPECT_NEAR(swept.area_mm2[1], 600, 1e-10);
  EXPECT_NEAR(swept.area_mm2[3], 0, 1e-10);
}

TEST(Sweep, CapsAddAreaButNoLength) {
  const Solid box = testing::make_box({30, 20, 10});
  std::vector<Origin> origins(box.origins().begin(), box.origins().end());
  for (std::size_t f = 0; f < box.face_count(); ++f) {
    if (box.area_normal(to_id<FaceId>(f)).x > 0) origins[f] = {OriginKind::cap, 1};
  }
  const Solid capped = Solid::adopt({box.points().begin(), box.points().end()},
                                    {box.triangles().begin(), box.triangles().end()}, origins);
  const std::vector<double> sight(box.face_count(), 1.0), offsets{5};
  const SweepResult swept = sweep(capped, sight, {0, 0, 1}, offsets);
  EXPECT_NEAR(swept.shown_mm[0], 80, 1e-12);
  EXPECT_NEAR(swept.area_mm2[0], 600, 1e-10);
}

TEST(Sweep, APlaneFlatAlongTheSkinIsUpToFourTimesDearer) {
  EXPECT_DOUBLE_EQ(grazing_factor(std::sin(Angle::degrees(30).radians())), 1);
  EXPECT_DOUBLE_EQ(grazing_factor(0.25), 2);
  EXPECT_DOUBLE_EQ(grazing_factor(0.01), 4);
  // A cone of half angle 76° about z: 14° between plane and skin.
  const double slope = std::tan(Angle::degrees(14).radians());
  const Solid cone = testing::make_frustum(100, 50, 50 * slope, 720);
  const std::vector<double> sight(cone.face_count(), 1.0), offsets{25 * slope};
  const double expected = 2 * std::numbers::pi * 75 * 0.5 / std::sin(Angle::degrees(14).radians());
  EXPECT_NEAR(sweep(cone, sight, {0, 0, 1}, offsets).shown_mm[0] / expected, 1, 1e-4);
}

TEST(Sweep, AFaceWeightScalesItsLengths) {
  const Solid box = testing::make_box({30, 20, 10});
  const std::vector<double> sight(box.face_count(), 1.0), weight(box.face_count(), 0.25),
      offsets{5};
  const SweepResult swept = Sweeper(box, sight, weight).sweep({0, 0, 1}, offsets);
  EXPECT_NEAR(swept.shown_mm[0], 25, 1e-12);
  EXPECT_NEAR(swept.area_mm2[0], 600, 1e-10);
}

TEST(Sweep, NoOffsetsGiveNothingAndOneOffsetItsPlane) {
  const Solid box = testing::make_box({30, 20, 10});
  const std::vector<double> sight(box.face_count(), 1.0);
  EXPECT_TRUE(sweep(box, sight, {0, 0, 1}, {}).shown_mm.empty());
  EXPECT_THROW(sweep(box, sight, {0, 0, 1}, std::vector<double>{2, 1}), std::logic_error);
  EXPECT_THROW(sweep(box, {}, {0, 0, 1}, std::vector<double>{1}), std::logic_error);
}

TEST(Sweep, TheSameBitsOnAnyThreadCount) {
  const Solid elephant = testing::reference_part("elephant");
  const std::vector<double> sight = random_sight(elephant.face_count());
  const std::vector<double> offsets = offsets_over(elephant, {0, 0, 1}, 500);
  const Sweeper sweeper(elephant, sight);
  const auto bits = [&](int threads) {
    const SweepResult r =
        sweeper.sweep({0, 0, 1}, offsets, seamwright::Run{.thread_count = threads});
    return std::array{r.shown_mm, r.hidden_mm, r.area_mm2};
  };
  EXPECT_EQ(bits(1), bits(2));
  EXPECT_EQ(bits(1), bits(7));
}

}  // namespace
}  // namespace seamwright
