#include "seamwright/cut/cut_plan.h"

#include <gtest/gtest.h>

#include <functional>

#include "seamwright/core/random.h"
#include "seamwright/query/mass_properties.h"
#include "support/soups.h"

namespace seamwright {
namespace {

SeamPlan planned(std::initializer_list<Edit> edits) {
  SeamPlan plan;
  for (const Edit& edit : edits) plan = seamwright::apply(plan, edit).value();
  return plan;
}

std::vector<std::string> ids_of(const std::vector<CutPiece>& pieces) {
  std::vector<std::string> ids;
  for (const CutPiece& piece : pieces) ids.push_back(piece.id);
  return ids;
}

const Plane kMiddle{{1, 0, 0}, 5}, kLeft{{1, 0, 0}, 2}, kUpper{{0, 0, 1}, 0.5};

Solid rod() {
  return testing::box_solid({0, 0, 0}, {10, 1, 1});
}

TEST(CutPlan, LeavesThePartWholeWithoutSeams) {
  const auto pieces = cut_plan(rod(), {}).value();
  EXPECT_EQ(ids_of(pieces), (std::vector<std::string>{"whole"}));
  EXPECT_FALSE(pieces[0].seam);
}

TEST(CutPlan, NamesPiecesByTheirPathAboveFirst) {
  const SeamPlan plan = planned({AddSeam{{}, {}, kMiddle}, AddSeam{SeamId{1}, Side::below, kLeft},
                                 AddSeam{SeamId{1}, Side::above, kUpper}});
  const auto pieces = cut_plan(rod(), plan).value();
  EXPECT_EQ(ids_of(pieces), (std::vector<std::string>{"S1+/S3+", "S1+/S3-", "S1-/S2+", "S1-/S2-"}));
  EXPECT_NEAR(volume_mm3(pieces[0].solid), 2.5, 1e-12);
  EXPECT_NEAR(volume_mm3(pieces[2].solid), 3, 1e-12);
  EXPECT_EQ(pieces[3].seam, SeamId{2});
  EXPECT_EQ(pieces[3].side, Side::below);
}

TEST(CutPlan, NumbersTheSolidsOfOneHalf) {
  const Solid two = testing::solid_of(testing::merged(
      {testing::box_soup({0, 0, 0}, {1, 1, 1}), testing::box_soup({3, 0, 0}, {4, 1, 1})}));
  EXPECT_EQ(ids_of(cut_plan(two, {}).value()), (std::vector<std::string>{"whole", "whole.2"}));
  const auto pieces = cut_plan(two, planned({AddSeam{{}, {}, kUpper}})).value();
  EXPECT_EQ(ids_of(pieces), (std::vector<std::string>{"S1+", "S1+.2", "S1-", "S1-.2"}));
}

TEST(CutPlan, ASeamThatMissesItsHalfLeavesItWhole) {
  const SeamPlan plan =
      planned({AddSeam{{}, {}, {{1, 0, 0}, 50}}, AddSeam{SeamId{1}, Side::above, kLeft},
               AddSeam{SeamId{1}, Side::below, kMiddle}});
  EXPECT_EQ(ids_of(cut_plan(rod(), plan).value()),
            (std::vector<std::string>{"S1-/S3+", "S1-/S3-"}));
}

TEST(PlanCutter, CutsOnlyTheSubtreeOfAMovedSeamAnew) {
  PlanCutter cutter(std::make_shared<const Solid>(rod()));
  SeamPlan plan =
      planned({AddSeam{{}, {}, kMiddle}, AddSeam{SeamId{1}, Side::below, kLeft},
               AddSeam{SeamId{2}, Side::above, kUpper}, AddSeam{SeamId{1}, Side::above, kUpper}});
  ASSERT_EQ(cutter.pieces(plan).value().size(), 5u);
  EXPECT_EQ(cutter.last_cut_count(), 4u);
  ASSERT_TRUE(cutter.pieces(plan));
  EXPECT_EQ(cutter.last_cut_count(), 0u);
  plan = apply(plan, MoveSeam{SeamId{2}, {{1, 0, 0}, 3}}).value();
  const auto moved = cutter.pieces(plan).value();
  EXPECT_EQ(cutter.last_cut_count(), 2u);
  const auto anew = cut_plan(rod(), plan).value();
  ASSERT_EQ(ids_of(moved), ids_of(anew));
  for (std::size_t i = 0; i < moved.size(); ++i) {
    EXPECT_TRUE(std::ranges::equal(moved[i].solid.points(), anew[i].solid.points()));
    EXPECT_TRUE(std::ranges::equal(moved[i].solid.triangles(), anew[i].solid.triangles()));
  }
}

/// A complete tree of seams, `depth` deep, by random planes through the torus.
SeamPlan random_tree(int depth) {
  Random random(3);
  SeamPlan plan;
  const std::function<void(std::optional<SeamId>, Side, int)> grow = [&](auto parent, Side side,
                                                                         int left) {
    if (left == 0) return;
    const Vec3 normal = random.direction();
    plan = apply(plan, AddSeam{parent, side, {normal, random.uniform(-15, 15)}}).value();
    const SeamId id = plan.seams.back().id;
    grow(id, Side::above, left - 1);
    grow(id, Side::below, left - 1);
  };
  grow({}, Side::above, depth);
  return plan;
}

TEST(CutPlan, GivesTheSameBytesOnAnyThreadCount) {
  const Solid torus = testing::solid_of(testing::torus_soup(20, 8, 96, 48));
  const SeamPlan plan = random_tree(4);
  const auto once = cut_plan(torus, plan, {.thread_count = 1}).value();
  EXPECT_GT(once.size(), 8u);
  for (int threads : {2, 7}) {
    const auto again = cut_plan(torus, plan, {.thread_count = threads}).value();
    ASSERT_EQ(ids_of(again), ids_of(once));
    for (std::size_t i = 0; i < once.size(); ++i) {
      EXPECT_TRUE(std::ranges::equal(again[i].solid.points(), once[i].solid.points()));
      EXPECT_TRUE(std::ranges::equal(again[i].solid.triangles(), once[i].solid.triangles()));
      EXPECT_TRUE(std::ranges::equal(again[i].solid.origins(), once[i].solid.origins()));
    }
  }
}

TEST(CutPlan, KeepsTotalVolume) {
  const Solid torus = testing::solid_of(testing::torus_soup(20, 8, 96, 48));
  double total_mm3 = 0;
  const auto pieces = cut_plan(torus, random_tree(5)).value();
  for (const CutPiece& piece : pieces) total_mm3 += volume_mm3(piece.solid);
  EXPECT_NEAR(total_mm3, volume_mm3(torus), 1e-12 * volume_mm3(torus));
}

TEST(CutPlan, CapsCarryTheirSeamThroughLaterCuts) {
  const SeamPlan plan =
      planned({AddSeam{{}, {}, kMiddle}, AddSeam{SeamId{1}, Side::above, kUpper}});
  const auto pieces = cut_plan(rod(), plan).value();
  for (const CutPiece& piece : pieces) {
    double area_mm2 = 0;
    for (std::size_t f = 0; f < piece.solid.face_count(); ++f) {
      if (piece.solid.origins()[f] != Origin{OriginKind::cap, 1}) continue;
      area_mm2 += norm(piece.solid.area_normal(to_id<FaceId>(f))) / 2;
    }
    EXPECT_NEAR(area_mm2, piece.id == "S1-" ? 1 : 0.5, 1e-12) << piece.id;
  }
}

TEST(PlanCutter, RemembersAFewPlansBack) {
  PlanCutter cutter(std::make_shared<const Solid>(rod()));
  const SeamPlan one = planned({AddSeam{{}, {}, kMiddle}});
  ASSERT_TRUE(cutter.pieces(one));
  for (int i = 0; i < 5; ++i) {
    ASSERT_TRUE(cutter.pieces(apply(one, MoveSeam{SeamId{1}, {{1, 0, 0}, 6.0 + 0.1 * i}}).value()));
    EXPECT_EQ(cutter.last_cut_count(), 1u);
  }
  ASSERT_TRUE(cutter.pieces(one));
  EXPECT_EQ(cutter.last_cut_count(), 0u);
}

TEST(PlanCutter, StopsWhenCancelled) {
  const std::atomic<Cancel> stop = Cancel::stop;
  const auto pieces = cut_plan(rod(), planned({AddSeam{{}, {}, kMiddle}}), {.cancel = &stop});
  ASSERT_FALSE(pieces);
  EXPECT_EQ(pieces.error().code, "cancelled");
}

}  // namespace
}  // namespace seamwright
