#include "seamwright/core/random.h"

#include <gtest/gtest.h>

namespace seamwright {
namespace {

TEST(Random, GivesTheSameSequenceForTheSameSeedAndStream) {
  Random a(5, 2), b(5, 2), c(5, 3);
  const double first = a.uniform();
  EXPECT_EQ(first, b.uniform());
  EXPECT_NE(first, c.uniform());
}

TEST(Random, UniformNormalAndDirectionHaveTheirMoments) {
  Random random(7);
  double mean = 0, square = 0;
  Vec3 sum;
  const int n = 100'000;
  for (int i = 0; i < n; ++i) {
    mean += random.uniform() / n;
    const double g = random.normal();
    square += g * g / n;
    const Vec3 d = random.direction();
    EXPECT_NEAR(norm(d), 1, 1e-12);
    sum += d / n;
  }
  EXPECT_NEAR(mean, 0.5, 0.005);  // five standard errors
  EXPECT_NEAR(square, 1.0, 0.025);
  EXPECT_NEAR(norm(sum), 0.0, 0.02);
}

TEST(Random, BelowStaysBelow) {
  Random random(1);
  for (int i = 0; i < 1000; ++i) EXPECT_LT(random.below(7), 7u);
}

}  // namespace
}  // namespace seamwright
