#include "seamwright/days/fill_box.h"

#include <gtest/gtest.h>

#include <set>

namespace seamwright {
namespace {

void expect_sound(const BoxFilling& filling, std::span<const CellSize> boxes, CellSize container) {
  std::set<CellSize> cells;
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    CellSize size = filling.places.at(i).size, wanted = boxes[i];
    std::multiset<int> a(size.begin(), size.end()), b(wanted.begin(), wanted.end());
    EXPECT_EQ(a, b) << "box " << i;
    const CellSize at = filling.places[i].at;
    for (int x = 0; x < size[0]; ++x) {
      for (int y = 0; y < size[1]; ++y) {
        for (int z = 0; z < size[2]; ++z) {
          const CellSize cell{at[0] + x, at[1] + y, at[2] + z};
          EXPECT_TRUE(cells.insert(cell).second) << "box " << i << " overlaps";
          for (std::size_t axis = 0; axis < 3; ++axis) {
            EXPECT_GE(cell[axis], 0);
            EXPECT_LT(cell[axis], container[axis]);
          }
        }
      }
    }
  }
}

void expect_fits(const std::vector<CellSize>& boxes, CellSize container) {
  const BoxFilling filling = fill_box(boxes, container);
  ASSERT_EQ(filling.answer, FillAnswer::fits) << filling.step_count << " steps";
  expect_sound(filling, boxes, container);
}

std::vector<CellSize> squares_up_to(int n) {
  std::vector<CellSize> squares;
  for (int side = 1; side <= n; ++side) squares.push_back({side, side, 1});
  return squares;
}

// Conway's puzzles (CHECKS.md, Scheduling and packing, seen).
TEST(FillBox, SolvesConwaysCubeOfThree) {
  std::vector<CellSize> boxes(6, {1, 2, 2});
  boxes.insert(boxes.end(), 3, {1, 1, 1});
  expect_fits(boxes, {3, 3, 3});
}

TEST(FillBox, SolvesConwaysCubeOfFive) {
  std::vector<CellSize> boxes(13, {1, 2, 4});
  boxes.push_back({2, 2, 2});
  boxes.push_back({1, 2, 2});
  boxes.insert(boxes.end(), 3, {1, 1, 3});
  expect_fits(boxes, {5, 5, 5});
}

// Least rectangles for the squares 1…n (OEIS A081287, seen).
TEST(FillBox, PutsTheSquaresIntoTheirLeastRectangle) {
  const std::vector<std::pair<int, CellSize>> rows{
      {4, {5, 7, 1}},   {5, {5, 12, 1}},  {6, {9, 11, 1}},  {7, {7, 22, 1}},
      {8, {14, 15, 1}}, {9, {15, 20, 1}}, {10, {15, 27, 1}}};
  for (const auto& [n, rectangle] : rows) {
    SCOPED_TRACE(n);
    expect_fits(squares_up_to(n), rectangle);
  }
}

TEST(FillBox, ProvesThatASmallerRectangleWontDo) {
  // 1 + 4 + 9 + 16 = 30 cells; A081287: nothing under 5 × 7 holds the four squares.
  for (const CellSize container : {CellSize{5, 6, 1}, CellSize{4, 8, 1}, CellSize{3, 11, 1}})
    EXPECT_EQ(fill_box(squares_up_to(4), container).answer, FillAnswer::fits_not);
}

TEST(FillBox, GivesUpOnlyAfterTheStepsItWasGiven) {
  std::vector<CellSize> boxes(13, {1, 2, 4});
  const BoxFilling filling = fill_box(boxes, {5, 5, 5}, 10);
  EXPECT_EQ(filling.answer, FillAnswer::gave_up);
  EXPECT_GE(filling.step_count, 10u);
}

}  // namespace
}  // namespace seamwright
