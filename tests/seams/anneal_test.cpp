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

/// A bar 300 mm long that narrows from 150 mm square at its ends to 90 in the middle, at x = 0.
Solid waisted_bar() {
  const Solid box = testing::subdivide(testing::make_box({300, 150, 150}), 2);
  const Vec3 middle = box.box().center();
  TriangleSoup soup;
  for (const Vec3 p : box.points()) {
    const Vec3 q = p - middle;
    const double narrowed = 0.6 + 0.4 * std::abs(q.x) / 150;
    soup.points.push_back({q.x, q.y * narrowed, q.z * narrowed});
  }
  soup.triangles.assign(box.triangles().begin(), box.triangles().end());
  return Solid::make(std::move(soup)).value();
}

TEST(Anneal, SmallStepsFindTheirOwnSizeAsTheySettle) {
  // Closed form: the shortest way around is the waist, 4 × 90 mm. From a seam 2 mm and 2° off it,
  // steps of learned sizes come nearer by far (five times, mean of ten) than those drawn from all
  // sizes.
  Bench bench(waisted_bar());
  PlanPricer pricer(bench.mesh, bench.prices, bench.rules);
  const Vec3 askew = rotation({0, 0, 1}, Angle::degrees(2)).rotate({1, 0, 0});
  const PlanPtr start = pricer.split(bench.body, {askew, 2});
  ASSERT_EQ(start->misfits, 0U);
  const CostWeights& cost = bench.prices.cost;
  const double least_h = 2 * cost.piece_h + 4 * 9 * cost.shown_h_per_cm;
  const auto missed_h = [&](bool settles) {
    constexpr int kTries = 10;
    double sum_h = 0;
    for (std::uint64_t i = 0; i < kTries; ++i) {
      Random random(1, i);
      sum_h += anneal(start, pricer, random, {1e9, 300, 1e-5, 1e-6, 0, settles}, {})->total_h;
    }
    return sum_h / kTries - least_h;
  };
  const double settled_h = missed_h(true), drawn_h = missed_h(false);
  EXPECT_GE(settled_h, -1e-9);
  EXPECT_LT(settled_h, drawn_h / 3);
}

}  // namespace
}  // namespace seamwright::search
