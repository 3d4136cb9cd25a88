#include "seams/anneal.h"

#include <gtest/gtest.h>

#include "search_bench.h"

namespace seamwright::search {
namespace {

TEST(Anneal, AGridCutsABarAnewAllAtOnce) {
  // Closed form: a bar of 500 × 150 × 150 in a cube of 180 is three pieces and two seams around
  // 150 × 150. From six pieces, eight moves lead there by a grid only.
  Bench bench(bar());
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const double low = bar().box().low.x;
  const PlanPtr six =
      slices(pricer, bench.body, std::array{low + 100, low + 200, low + 300, low + 400, low + 450});
  ASSERT_EQ(six->pieces, 6U);
  ASSERT_EQ(six->misfits, 0U);
  const CostWeights& cost = bench.prices.cost;
  const double least_h = 3 * cost.piece_h + 2 * 4 * 15 * cost.shown_h_per_cm;
  const auto annealed = [&](double grid_share) {
    Random random(1, 1);
    return anneal(six, pricer, random, {1e9, 8, 0.12, 0.02, grid_share}, {});
  };
  EXPECT_NEAR(annealed(1)->total_h, least_h, 1e-6);
  EXPECT_GT(annealed(0)->total_h, least_h + cost.piece_h / 2);
}

}  // namespace
}  // namespace seamwright::search
