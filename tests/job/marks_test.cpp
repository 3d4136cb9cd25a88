#include "seamwright/job/marks.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "support/shapes.h"

namespace seamwright {
namespace {

using ::testing::ElementsAre;

/// A bar of 100 × 10 × 10 from the origin, cut across at the given places, from left to right.
SeamPlan cuts_at(std::initializer_list<double> places) {
  SeamPlan plan;
  std::optional<SeamId> parent;
  for (const double x : places) {
    plan = *apply(plan, AddSeam{parent, Side::above, Plane{{1, 0, 0}, x}});
    parent = plan.seams.back().id;
  }
  return plan;
}

Solid bar() {
  return testing::make_box({100, 10, 10}).transformed({.shift = {}});
}

double left_end(const CutPiece& piece) {
  return piece.solid.box().low.x;
}

std::vector<EarlierPiece> as_earlier(const SeamPlan& plan, const std::vector<CutPiece>& pieces,
                                     const std::vector<std::string>& marks) {
  std::vector<EarlierPiece> earlier;
  for (std::size_t i = 0; i < pieces.size(); ++i)
    earlier.push_back({marks[i], leaf_cell(plan, pieces[i].seam, pieces[i].side)});
  return earlier;
}

TEST(Marks, AreDistinctWithAtMostFiveToALetter) {
  const double left = bar().box().low.x;
  const SeamPlan plan =
      cuts_at({left + 10, left + 20, left + 30, left + 40, left + 50, left + 60, left + 70});
  const auto pieces = *cut_plan(bar(), plan);
  ASSERT_EQ(pieces.size(), 8u);
  const auto marks = assign_marks(pieces);
  EXPECT_EQ(std::set<std::string>(marks.begin(), marks.end()).size(), 8u);
  std::map<char, int> per_letter;
  for (const std::string& mark : marks) EXPECT_LE(++per_letter[mark[0]], 5) << mark;
}

TEST(Marks, AWholePartIsA1) {
  EXPECT_THAT(assign_marks(*cut_plan(bar(), {})), ElementsAre("A1"));
}

TEST(Marks, APieceKeepsItsMarkWhenTheSeamBesideItMoves) {
  const double left = bar().box().low.x;
  const SeamPlan before = cuts_at({left + 30, left + 60});
  const auto old_pieces = *cut_plan(bar(), before);
  const auto old_marks = assign_marks(old_pieces);
  const SeamPlan after = *apply(before, MoveSeam{before.seams[1].id, Plane{{1, 0, 0}, left + 64}});
  const auto pieces = *cut_plan(bar(), after);
  const auto marks = assign_marks(pieces, {as_earlier(before, old_pieces, old_marks), {}});
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    for (std::size_t k = 0; k < old_pieces.size(); ++k) {
      if (std::abs(left_end(pieces[i]) - left_end(old_pieces[k])) < 5) {
        EXPECT_EQ(marks[i], old_marks[k]);
      }
    }
  }
}

TEST(Marks, AnEarlierMarkIsNeverUsedForAnotherPiece) {
  const double left = bar().box().low.x;
  const SeamPlan before = cuts_at({left + 30, left + 60});
  const auto old_pieces = *cut_plan(bar(), before);
  const auto old_marks = assign_marks(old_pieces);
  // One cut across the middle: no new piece is more than half of an old one's place but shares
  // some.
  const SeamPlan after = cuts_at({left + 45});
  const auto pieces = *cut_plan(bar(), after);
  const EarlierMarks earlier{as_earlier(before, old_pieces, old_marks), {"A7"}};
  const auto marks = assign_marks(pieces, earlier);
  std::set<std::string> seen;
  for (std::size_t i = 0; i < pieces.size(); ++i) {
    EXPECT_TRUE(seen.insert(marks[i]).second);
    EXPECT_NE(marks[i], "A7");
  }
}

}  // namespace
}  // namespace seamwright
