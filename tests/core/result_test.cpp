#include "seamwright/core/result.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

Result<int> half(int n) {
  if (n % 2 != 0) return Error{"odd", "3 is odd"};
  return n / 2;
}

TEST(Result, HoldsAValueOrAnError) {
  EXPECT_EQ(*half(4), 2);
  ASSERT_FALSE(half(3));
  EXPECT_EQ(half(3).error().code, "odd");
}

TEST(Result, ThrowsWhenAMissingValueIsTaken) {
  EXPECT_THROW((void)half(3).value(), std::logic_error);
}

TEST(Error, GathersContextOnItsWayUp) {
  const Error error = Error{"odd", "3 is odd"}.within("while halving").within("while planning");
  EXPECT_EQ(error.context, (std::vector<std::string>{"while halving", "while planning"}));
}

TEST(Require, ThrowsOnABrokenContract) {
  EXPECT_NO_THROW(require(true, "fine"));
  EXPECT_THROW(require(false, "broken"), std::logic_error);
}

}  // namespace
}  // namespace seamwright
