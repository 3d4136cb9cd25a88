#include "seams/box_start.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "seams/box_sums.h"
#include "seams/directions.h"
#include "seams/starts.h"
#include "seamwright/cut/boolean.h"
#include "search_bench.h"

namespace seamwright::search {
namespace {

using testing::make_box;
using testing::subdivide;

/// Grids on a solid, in a cube of 180.
struct GridBench : Bench {
  using Bench::Bench;
  PlanPricer pricer() const { return {mesh, prices, rules}; }
  PlanPtr best(const BoxFrame& frame, std::uint64_t seed) const {
    PlanPricer own = pricer();
    Random random(seed);
    return box_start(body, frame, own, random);
  }
};

/// Two legs hanging from a bridge.
Solid make_fork() {
  const Solid bridge = make_box({300, 60, 60}, {0, 0, 240});
  const std::vector<Solid> legs{make_box({60, 60, 250}), make_box({60, 60, 250}, {240, 0, 0})};
  return subdivide(unite(bridge, legs).value(), 2);
}

TEST(CellGrid, PricesACutByTheOutlineInTheBox) {
  const GridBench bench(subdivide(make_box({240, 90, 60}), 3));
  PlanPricer pricer = bench.pricer();
  Random random(1);
  const CellGrid grid(bench.body, {kPartAxes, 30, 0}, {}, pricer, random);
  const double h_per_mm = bench.prices.cost.shown_h_per_cm / 10;
  for (std::size_t at = 1; at < grid.count(0); ++at) {
    // Closed form: the perimeter of 90 × 60, and of one side what lies above the grid's plane.
    EXPECT_NEAR(grid.cut_h(grid.all(), 0, at), 2 * (90 + 60) * h_per_mm, 1e-9);
    const CellBox upper = grid.all().above(2, 1);
    const double height = 60 - grid.plane(2, 1).offset_mm;
    EXPECT_NEAR(grid.cut_h(upper, 0, at), (90 + 2 * height) * h_per_mm, 6 * h_per_mm);
  }
}

TEST(CellGrid, TellsWhichSolidsHangTogether) {
  const GridBench bench(make_fork());
  PlanPricer pricer = bench.pricer();
  Random random(1);
  const CellGrid grid(bench.body, {kPartAxes, 30, 0}, {}, pricer, random);
  double volume_mm3 = 0;
  std::vector<bool> is_reached(grid.solid_count(), false);
  const auto reach = [&](const auto& self, std::uint32_t from) -> void {
    if (is_reached[from]) return;
    is_reached[from] = true;
    volume_mm3 += grid.solid(from).volume_mm3;
    for (std::uint32_t to = 0; to < grid.solid_count(); ++to) {
      const auto& after = grid.solid(to).after;
      const auto& own = grid.solid(from).after;
      if (std::find(after.begin(), after.end(), from) != after.end() ||
          std::find(own.begin(), own.end(), to) != own.end())
        self(self, to);
    }
  };
  reach(reach, 0);
  // From any cell all of the fork is reached, and it is as large as its boxes.
  EXPECT_NEAR(volume_mm3, 60 * 60 * (300 + 2 * 240), 1);
}

/// Every box of a grid, one column after the other.
template <class Do>
void for_each_box(const CellBox& all, const Do& act) {
  CellBox b;
  for (b.high[0] = 1; b.high[0] <= all.high[0]; ++b.high[0])
    for (b.low[0] = 0; b.low[0] < b.high[0]; ++b.low[0])
      for (b.high[1] = 1; b.high[1] <= all.high[1]; ++b.high[1])
        for (b.low[1] = 0; b.low[1] < b.high[1]; ++b.low[1])
          for (b.high[2] = 1; b.high[2] <= all.high[2]; ++b.high[2])
            for (b.low[2] = 0; b.low[2] < b.high[2]; ++b.low[2]) act(b);
}

TEST(BoxSums, AreWhatTheCellsOfABoxComeTo) {
  const GridBench bench(make_fork());
  PlanPricer pricer = bench.pricer();
  Random random(1);
  const CellGrid grid(bench.body, {kPartAxes, 50, 0}, {}, pricer, random);
  const BoxSums sums(grid);
  const auto count = [&](const CellBox& b) {
    BoxAmounts all;
    for (std::size_t x = b.low[0]; x < b.high[0]; ++x)
      for (std::size_t y = b.low[1]; y < b.high[1]; ++y)
        for (std::size_t z = b.low[2]; z < b.high[2]; ++z)
          for (const std::uint32_t i : grid.solids_in(x, y, z))
            all += {1, grid.solid(i).volume_mm3, grid.solid(i).skin_mm2};
    return all;
  };
  ColumnLayers column;
  std::size_t empty_layers = 0;
  for_each_box(grid.all(), [&](const CellBox& box) {
    const BoxAmounts here = count(box);
    EXPECT_EQ(sums.in(box).solids, here.solids);
    EXPECT_NEAR(sums.in(box).volume_mm3, here.volume_mm3, 1e-3);
    EXPECT_NEAR(sums.in(box).skin_mm2, here.skin_mm2, 1e-3);
    if (box.high[2] == 1) column.take(sums, box, grid.count(2));
    EXPECT_EQ(column.is_empty(box), here.solids == 0);
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const CellBox low = box.below(axis, box.low[axis] + 1),
                    high = box.above(axis, box.high[axis] - 1);
      EXPECT_EQ(column.is_low_empty(box, axis), count(low).solids == 0);
      EXPECT_EQ(column.is_high_empty(box, axis), count(high).solids == 0);
      empty_layers += count(low).solids == 0 ? 1 : 0;
    }
  });
  EXPECT_GT(empty_layers, 100u);  // between the legs
}

TEST(BoxStart, CutsABlockAsFewAndAsShortAsCanBe) {
  // 500 long in a room of 180: three pieces at least, so two cuts around 170 × 100 at least.
  const GridBench bench(subdivide(make_box({500, 170, 100}), 2));
  const double least_h =
      3 * bench.prices.cost.piece_h + 2 * 2 * 27 * bench.prices.cost.shown_h_per_cm;
  for (const std::uint64_t seed : {1, 2, 3}) {
    const PlanPtr plan = bench.best({.axes = kPartAxes, .shake_ratio = 0}, seed);
    EXPECT_EQ(plan->misfits, 0u);
    EXPECT_NEAR(plan->total_h, least_h, 1e-6);
  }
}

TEST(BoxStart, CutsAnAskewBlockInATurnedFrame) {
  // The block of above turned about z: along the part's own axes no cut is as short.
  const Angle askew = Angle::degrees(30);
  const GridBench bench(
      subdivide(make_box({500, 170, 100}), 2).transformed(rotation({0, 0, 1}, askew)));
  const double least_h =
      3 * bench.prices.cost.piece_h + 2 * 2 * 27 * bench.prices.cost.shown_h_per_cm;
  const auto hours = [&](const std::array<Vec3, 3>& axes) {
    return bench.best({.axes = axes, .shake_ratio = 0}, 1)->total_h;
  };
  EXPECT_NEAR(hours(turned_about(kPartAxes, 2, askew)), least_h, 1e-6);
  EXPECT_GT(hours(kPartAxes), least_h + 0.1);
}

TEST(BoxStart, IsNoDearerThanSlabs) {
  // Slabs through both legs at once, or one after the other: grids may do either.
  const GridBench bench(make_fork());
  PlanPricer pricer = bench.pricer();
  Random random(1);
  const PlanPtr slabs =
      slab_start(bench.body, {.axes = kPartAxes, .shake_ratio = 0}, pricer, random);
  const PlanPtr boxes = bench.best({.axes = kPartAxes, .shake_ratio = 0}, 1);
  EXPECT_EQ(boxes->misfits, 0u);
  EXPECT_LE(boxes->total_h, slabs->total_h + 1e-9);
}

TEST(BoxStart, GivesUpWhereTheTableWouldBeTooLarge) {
  const GridBench bench(make_box({500, 170, 100}));
  EXPECT_EQ(bench.best({.axes = kPartAxes, .most_boxes = 100}, 1), nullptr);
}

TEST(BoxStart, LeavesAloneWhatFits) {
  const GridBench bench(make_box({150, 100, 100}));
  EXPECT_TRUE(bench.best({.axes = kPartAxes}, 1)->is_leaf());
}

}  // namespace
}  // namespace seamwright::search
