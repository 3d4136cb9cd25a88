#include "seamwright/cut/cut_plan.h"

#include <gtest/gtest.h>

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

TEST(PlanCutter, StopsWhenCancelled) {
  const std::atomic<Cancel> stop = Cancel::stop;
  const auto pieces = cut_plan(rod(), planned({AddSeam{{}, {}, kMiddle}}), {.cancel = &stop});
  ASSERT_FALSE(pieces);
  EXPECT_EQ(pieces.error().code, "cancelled");
}

}  // namespace
}  // namespace seamwright
