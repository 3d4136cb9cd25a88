#include "seams/linear_program.h"

#include <gtest/gtest.h>

namespace seamwright::search {
namespace {

TEST(LinearProgram, FindsTheTextbooksCorner) {
  // Hillier and Lieberman, Introduction to Operations Research, the Wyndor Glass example (values
  // from memory): 3x + 5y at most, x <= 4, 2y <= 12, 3x + 2y <= 18: 36 at (2, 6).
  LinearProgram program;
  const auto x = program.add_column(0, 4, -3), y = program.add_column(0, 6, -5);
  program.add_row({.terms = {{x, 3}, {y, 2}}, .high = 18});
  const auto found = program.solve();
  ASSERT_TRUE(found);
  EXPECT_NEAR((*found)[x], 2, 1e-9);
  EXPECT_NEAR((*found)[y], 6, 1e-9);
}

TEST(LinearProgram, HoldsARowFromBothSides) {
  LinearProgram program;
  const auto x = program.add_column(-10, 10, 1), y = program.add_column(-10, 10, 2);
  program.add_row({{{x, 0.25}, {y, 1}, {x, 0.75}}, 3, 3});
  const auto found = program.solve();
  ASSERT_TRUE(found);
  EXPECT_NEAR((*found)[x], 10, 1e-9);
  EXPECT_NEAR((*found)[y], -7, 1e-9);
}

TEST(LinearProgram, HasNoAnswerWhereRowsContradict) {
  LinearProgram program;
  const auto x = program.add_column(0, 1, 1);
  program.add_row({.terms = {{x, 1}}, .low = 2});
  EXPECT_FALSE(program.solve());
}

}  // namespace
}  // namespace seamwright::search
