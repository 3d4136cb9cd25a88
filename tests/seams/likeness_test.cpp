#include "seams/likeness.h"

#include <gtest/gtest.h>

#include "search_bench.h"

namespace seamwright::search {
namespace {

double left_end() {
  return bar().box().low.x;
}

/// Points spread evenly along a bar 500 long.
Bench& bench() {
  static Bench made = [] {
    Bench fresh{bar()};
    fresh.body->points.clear();
    for (int i = 0; i < 4000; ++i)
      fresh.body->points.push_back({left_end() + 500 * (i + 0.5) / 4000, 0, 0});
    return fresh;
  }();
  return made;
}

/// A plan as a tree only: nothing is cut or priced.
PlanPtr leaf() {
  auto node = std::make_shared<PlanNode>();
  node->body = bench().body;
  return node;
}
PlanPtr cut_at(double mm, PlanPtr above, PlanPtr below) {
  return PlanPricer::join(bench().body, {{1, 0, 0}, left_end() + mm}, false, 0, std::move(above),
                          std::move(below));
}

TEST(Likeness, OrderOfCutsDoesNotMatter) {
  const PlanPtr first = cut_at(100, cut_at(300, leaf(), leaf()), leaf());
  const PlanPtr second = cut_at(300, leaf(), cut_at(100, leaf(), leaf()));
  EXPECT_DOUBLE_EQ(likeness(*first, *second), 1);
  EXPECT_DOUBLE_EQ(likeness(*leaf(), *leaf()), 1);
}

TEST(Likeness, IsTheShareThatStaysTogether) {
  const PlanPtr halves = cut_at(250, leaf(), leaf());
  // Halves against a quarter and the rest: of the half that is cut a half stays, a quarter of all.
  EXPECT_NEAR(likeness(*halves, *cut_at(125, leaf(), leaf())), 0.75, 0.01);
  // A seam 10 mm off parts a fiftieth of the bar from the rest, by both plans.
  EXPECT_NEAR(likeness(*halves, *cut_at(260, leaf(), leaf())), 0.98, 0.01);
  // Against the whole: by the halves all stays together, by the whole only one of them.
  EXPECT_NEAR(likeness(*halves, *leaf()), 0.75, 0.01);
  EXPECT_NEAR(likeness(*leaf(), *halves), 0.75, 0.01);
}

}  // namespace
}  // namespace seamwright::search
