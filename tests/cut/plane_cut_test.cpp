#include "seamwright/cut/plane_cut.h"

#include <gtest/gtest.h>

#include <set>

#include "seamwright/core/random.h"
#include "seamwright/query/mass_properties.h"
#include "support/soups.h"

namespace seamwright {
namespace {

using testing::box_solid;
using testing::box_soup;
using testing::merged;
using testing::solid_of;

constexpr SeamId kSeam{5};

double volume_or_zero(const std::optional<Solid>& solid) {
  return solid ? volume_mm3(*solid) : 0;
}

/// Every guarantee of plane_cut that can be checked on any input.
CutHalves checked_cut(const Solid& solid, const Plane& plane) {
  const auto cut = plane_cut(solid, plane, kSeam);
  if (!cut) {
    ADD_FAILURE() << cut.error().message;
    return {};
  }
  double caps_mm2[2] = {0, 0};
  for (const auto* half : {&cut->above, &cut->below}) {
    if (!*half) continue;
    const Solid& s = **half;
    const bool is_above = half == &cut->above;
    EXPECT_EQ(find_open_edge(s.points(), s.triangles()).value_or("closed"), "closed");
    EXPECT_GT(volume_mm3(s), 0);
    std::vector<bool> used(s.points().size());
    for (std::size_t f = 0; f < s.face_count(); ++f) {
      const auto [a, b, c] = s.triangles()[f];
      EXPECT_TRUE(a != b && b != c && c != a);
      for (VertexId v : {a, b, c}) used[to_index(v)] = true;
      if (s.origins()[f] != Origin{OriginKind::cap, static_cast<std::uint32_t>(kSeam)}) continue;
      caps_mm2[is_above] += dot(s.area_normal(to_id<FaceId>(f)), plane.normal) / 2;
      for (VertexId v : {a, b, c}) EXPECT_LE(std::abs(plane.distance(s.point(v))), 1.001e-6);
    }
    EXPECT_EQ(std::count(used.begin(), used.end(), false), 0);
    const bool was_divided = cut->above && cut->below;
    for (Vec3 p : s.points()) {
      if (was_divided) {
        EXPECT_GT((is_above ? 1 : -1) * plane.distance(p), -1.001e-6);
      }
    }
  }
  EXPECT_NEAR(caps_mm2[0], -caps_mm2[1], 1e-9 * (1 + std::abs(caps_mm2[0])));
  const double whole = volume_mm3(solid);
  EXPECT_NEAR(volume_or_zero(cut->above) + volume_or_zero(cut->below), whole, 1e-12 * whole);
  return std::move(cut).value();
}

TEST(PlaneCut, HalvesABox) {
  const CutHalves cut = checked_cut(box_solid({0, 0, 0}, {2, 3, 4}), {{0, 0, 1}, 1});
  EXPECT_NEAR(volume_or_zero(cut.above), 18, 1e-12);
  EXPECT_NEAR(volume_or_zero(cut.below), 6, 1e-12);
}

TEST(PlaneCut, LeavesWholeWhatThePlaneMisses) {
  const Solid box = box_solid({0, 0, 0}, {2, 3, 4});
  for (double offset_mm : {-1.0, 0.0, 4.0, 5.0}) {
    const CutHalves cut = checked_cut(box, {{0, 0, 1}, offset_mm});
    EXPECT_NE(cut.above.has_value(), cut.below.has_value());
    EXPECT_EQ((cut.above ? cut.above : cut.below)->face_count(), 12u);
    EXPECT_EQ(cut.above.has_value(), offset_mm <= 0);
  }
}

TEST(PlaneCut, CutsThroughCornersAndEdges) {
  const Solid box = box_solid({0, 0, 0}, {1, 1, 1});
  for (Vec3 normal : {Vec3{1, 1, 1}, {1, 1, 0}, {1, -1, 0}, {1, 0, -1}, {1, 2, 3}, {1, -1, 1}}) {
    const Plane plane{normalized(normal), 0};
    for (Vec3 through : {Vec3{0, 0, 0}, {1, 1, 1}, {1, 0, 0}, {0, 1, 0}, {0.5, 0.5, 0.5}}) {
      checked_cut(box, {plane.normal, dot(plane.normal, through)});
    }
  }
}

TEST(PlaneCut, GivesAFaceInThePlaneToItsMaterialSide) {
  // A stair: the tread at z = 1 looks up, so it belongs below.
  const Solid stair =
      solid_of(merged({box_soup({0, 0, 0}, {2, 1, 1}), box_soup({0, 0, 1}, {1, 1, 2})}));
  const CutHalves cut = checked_cut(stair, {{0, 0, 1}, 1});
  EXPECT_NEAR(volume_or_zero(cut.above), 1, 1e-12);
  EXPECT_NEAR(volume_or_zero(cut.below), 2, 1e-12);
}

TEST(PlaneCut, CutsATorusIntoAnnuliAndDiscs) {
  const Solid torus = solid_of(testing::torus_soup(20, 5, 64, 32));
  checked_cut(torus, {{0, 0, 1}, 0});
  checked_cut(torus, {{1, 0, 0}, 0});
  checked_cut(torus, {{1, 0, 0}, 15});
  checked_cut(torus, {{1, 0, 0}, 14.99999});
  checked_cut(torus,
              {normalized({5, 0, std::sqrt(400 - 25.0)}), 0});  // Villarceau: touching circles
}

TEST(PlaneCut, CapsTouchingLoops) {
  const Solid pair =
      solid_of(merged({box_soup({0, 0, 0}, {1, 1, 1}), box_soup({1, 1, 0}, {2, 2, 1}),
                       box_soup({1, 0, 0}, {2, 1, 1}), box_soup({2, 0.25, 0}, {3, 0.75, 1})}));
  const CutHalves cut = checked_cut(pair, {{0, 0, 1}, 0.5});
  EXPECT_NEAR(volume_or_zero(cut.above), 1.75, 1e-12);
  for (int i = 0; i < 50; ++i) {
    Random random(7, static_cast<std::uint64_t>(i));
    const Vec3 normal = random.direction();
    checked_cut(pair, {normal, dot(normal, {random.uniform(0, 2), random.uniform(0, 2), 0.5})});
  }
}

TEST(PlaneCut, ResolvesSelfCrossingSections) {
  const Solid pair =
      solid_of(merged({box_soup({0, 0, 0}, {2, 2, 2}), box_soup({1, 1, -1}, {3, 3, 1})}));
  for (int i = 0; i < 100; ++i) {
    Random random(8, static_cast<std::uint64_t>(i));
    const Vec3 normal = random.direction();
    checked_cut(pair, {normal, dot(normal, {random.uniform(1, 2), random.uniform(1, 2), 0.5})});
  }
  checked_cut(pair, {{0, 0, 1}, 0.5});
  checked_cut(pair, {{0, 0, 1}, 1});
  checked_cut(pair, {{0, 0, 1}, 0});
}

TEST(PlaneCut, KeepsVoids) {
  const Solid hollow = solid_of(
      merged({box_soup({0, 0, 0}, {4, 4, 4}), testing::flipped(box_soup({1, 1, 1}, {3, 3, 3}))}));
  const CutHalves cut = checked_cut(hollow, {{0, 0, 1}, 2});
  EXPECT_NEAR(volume_or_zero(cut.above), 28, 1e-12);
  checked_cut(hollow, {{0, 0, 1}, 1});
  checked_cut(hollow, {{0, 0, 1}, 3});
  checked_cut(hollow, {{0, 0, 1}, 0.5});
}

TEST(PlaneCut, HalvesJoinToTheWholeAgain) {
  Random random(3);
  const Solid torus = solid_of(testing::torus_soup(20, 5, 48, 24));
  for (int k = 0; k < 20; ++k) {
    const Vec3 normal = random.direction();
    const Plane plane{normal, random.uniform(-3, 3)};
    const CutHalves halves = checked_cut(torus, plane);
    ASSERT_TRUE(halves.above && halves.below);
    const auto joined = join_at_plane(*halves.above, *halves.below, plane, kSeam);
    ASSERT_TRUE(joined) << joined.error().message;
    EXPECT_FALSE(find_open_edge(joined->points(), joined->triangles()));
    EXPECT_NEAR(volume_mm3(*joined), volume_mm3(torus), 1e-9 * volume_mm3(torus));
    for (const Origin origin : joined->origins()) EXPECT_NE(origin.kind, OriginKind::cap);
  }
}

TEST(PlaneCut, JoiningFillsWhatTheOtherCapDoesNotCover) {
  // A step: the upper box stands on half of the lower one's cap; the areas by hand.
  const CutHalves halves = checked_cut(box_solid({0, 0, 0}, {10, 10, 10}), {{0, 0, 1}, 5});
  const CutHalves quarters = plane_cut(*halves.above, {{1, 0, 0}, 4}, SeamId{6}).value();
  const auto step = join_at_plane(*quarters.below, *halves.below, {{0, 0, 1}, 5}, kSeam);
  ASSERT_TRUE(step) << step.error().message;
  EXPECT_NEAR(volume_mm3(*step), 500 + 200, 1e-9);
}

TEST(PlaneCut, RefusesAPlaneWithoutAUnitNormal) {
  const auto cut = plane_cut(box_solid({0, 0, 0}, {1, 1, 1}), {{0, 0, 2}, 1}, kSeam);
  ASSERT_FALSE(cut);
  EXPECT_EQ(cut.error().code, "cut-failed");
}

/// V − E + F, E = 3 F / 2 (Euler): 2 − 2 genus.
long euler_number(const Solid& solid) {
  const auto faces = static_cast<long>(solid.face_count());
  return static_cast<long>(solid.points().size()) - faces * 3 / 2 + faces;
}

TEST(PlaneCut, HalvesHaveTheGenusTheyShould) {
  const Solid torus = solid_of(testing::torus_soup(20, 5, 64, 32));
  const auto flat = checked_cut(torus, {{0, 0, 1}, 0.1});  // two rings
  EXPECT_EQ(euler_number(*flat.above), 0);
  EXPECT_EQ(euler_number(*flat.below), 0);
  const auto across = checked_cut(torus, {{1, 0, 0}, 0.1});  // two bows
  EXPECT_EQ(euler_number(*across.above), 2);
  EXPECT_EQ(euler_number(*across.below), 2);
  for (double offset_mm : {17.0, 22.0}) {  // a slice off: the ring, inner radius 15, stays a ring
    const auto slice = checked_cut(torus, {{1, 0, 0}, offset_mm});
    EXPECT_EQ(euler_number(*slice.above), 2);
    EXPECT_EQ(euler_number(*slice.below), 0);
  }
}

TEST(PlaneCut, KeepsOrigins) {
  const Solid torus = solid_of(testing::torus_soup(20, 5, 64, 32));
  const auto cut = checked_cut(torus, {normalized({1, 2, 3}), 1});
  for (const Solid* half : {&*cut.above, &*cut.below}) {
    for (std::uint32_t f = 0; f < half->face_count(); ++f) {
      const Origin origin = half->origin(FaceId{f});
      if (origin.kind != OriginKind::skin) continue;
      const Vec3 own = normalized(half->area_normal(FaceId{f}));
      const Vec3 old = normalized(torus.area_normal(FaceId{origin.id}));
      EXPECT_GT(dot(own, old), 1 - 1e-6);
    }
  }
}

}  // namespace
}  // namespace seamwright
