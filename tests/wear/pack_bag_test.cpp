#include "seamwright/wear/pack_bag.h"

#include <gtest/gtest.h>

#include "seamwright/core/random.h"
#include "seamwright/query/ray_tree.h"
#include "support/fields.h"
#include "support/shapes.h"
#include "support/stl.h"

namespace seamwright {
namespace {

/// Random points of each packed thing lie in the bag and in no other thing.
void expect_packed_well(std::span<const BagItem> items, const BagChoice& bag,
                        const Packing& packing) {
  Random random(1);
  std::vector<RayTree> trees;
  for (const BagPlace& place : packing.places) trees.emplace_back(*items[place.item].solids[0]);
  for (std::size_t i = 0; i < packing.places.size(); ++i) {
    const Solid& solid = *items[packing.places[i].item].solids[0];
    const Transform& motion = packing.places[i].bag_from_part;
    EXPECT_NEAR(dot(motion.rows[0], cross(motion.rows[1], motion.rows[2])), 1, 1e-12);
    for (const Vec3& p : solid.points()) {
      const Vec3 q = motion.apply(p);
      for (std::size_t axis = 0; axis < 3; ++axis) {
        EXPECT_GE(q[axis], -1e-6);
        EXPECT_LE(q[axis], bag.inner_mm[axis] + 1e-6);
      }
    }
    const Box3& box = solid.box();
    for (int n = 0; n < 3000; ++n) {
      const Vec3 p{random.uniform(box.low.x, box.high.x), random.uniform(box.low.y, box.high.y),
                   random.uniform(box.low.z, box.high.z)};
      if (!trees[i].contains(p)) continue;
      const Vec3 q = motion.apply(p);
      for (std::size_t k = 0; k < packing.places.size(); ++k) {
        if (k == i) continue;
        EXPECT_FALSE(trees[k].contains(packing.places[k].bag_from_part.inverse().apply(q)))
            << items[packing.places[i].item].name << " meets "
            << items[packing.places[k].item].name;
      }
    }
  }
}

struct Boxes {
  std::vector<Solid> solids;
  std::vector<BagItem> items;
};
Boxes boxes_of(const std::vector<std::pair<int, Vec3>>& counted) {
  Boxes boxes;
  for (const auto& [count, size] : counted) {
    for (int i = 0; i < count; ++i) boxes.solids.push_back(testing::make_box(size * 20));
  }
  for (const Solid& solid : boxes.solids) boxes.items.push_back({"box", {&solid}, 10});
  return boxes;
}

// Conway's puzzles (CHECKS.md, Scheduling and packing, seen), in cells of 20 mm.
TEST(PackBag, FillsConwaysCubesExactly) {
  const struct {
    std::vector<std::pair<int, Vec3>> boxes;
    double side_mm;
  } rows[] = {{{{6, {1, 2, 2}}, {3, {1, 1, 1}}}, 60},
              {{{13, {1, 2, 4}}, {1, {2, 2, 2}}, {1, {1, 2, 2}}, {3, {1, 1, 3}}}, 100}};
  for (const auto& row : rows) {
    const Boxes boxes = boxes_of(row.boxes);
    const BagChoice bag{"cube", {row.side_mm, row.side_mm, row.side_mm}, 23, 0};
    const auto packing = pack_bag(boxes.items, bag, {.cells_a_side = 10, .try_count = 2});
    ASSERT_TRUE(packing.has_value());
    EXPECT_TRUE(packing->fits());
    double volume = 0;
    for (const BagItem& item : boxes.items)
      volume += item.solids[0]->box().size().x * item.solids[0]->box().size().y *
                item.solids[0]->box().size().z;
    EXPECT_DOUBLE_EQ(volume, std::pow(row.side_mm, 3)) << "the cube is full";
    expect_packed_well(boxes.items, bag, *packing);
  }
}

/// A bowl: a hollow half ball's box is 100 × 100 × 50, its wall 5.
Solid bowl() {
  const auto ring = [](double radius, double tilt_deg) {
    const double t = tilt_deg * std::numbers::pi / 180;
    return std::pair{radius * std::sin(t), -radius * std::cos(t)};
  };
  std::vector<std::pair<double, double>> profile;
  for (int a = 3; a <= 90; a += 3) profile.push_back(ring(50, a));
  for (int a = 90; a >= 3; a -= 3) profile.push_back(ring(45, a));
  return testing::shapes_detail::revolve(48, profile.size(), [&](std::size_t i, std::size_t k) {
    const double turn = testing::shapes_detail::turn(i, 48);
    const auto [r, z] = profile[k];
    return Vec3{r * std::cos(turn), r * std::sin(turn), z};
  });
}

TEST(PackBag, NestsShellsIntoEachOther) {
  const Solid shell = bowl();
  std::vector<BagItem> items(4, {"bowl", {&shell}, 100});
  // As boxes four bowls are 200 mm high here. Nested, each stands 21.8 mm above the one below:
  // where the outer ball of 50 mm comes to the inner rim of 45.
  const BagChoice bag{"tube", {106, 106, 150}, 23, 1};
  const auto packing = pack_bag(items, bag, {.cells_a_side = 75});
  ASSERT_TRUE(packing.has_value());
  EXPECT_TRUE(packing->fits());
  EXPECT_GE(packing->filled_mm, 49.9 + 3 * 21.8);
  EXPECT_LT(packing->filled_mm, 145);
  expect_packed_well(items, bag, *packing);
}

TEST(PackBag, KeepsTheMassLimit) {
  const Solid box = testing::make_box({50, 50, 50});
  const std::vector<BagItem> items(3, {"box", {&box}, 900});
  const auto packing = pack_bag(items, {"bag", {500, 500, 500}, 2, 5});
  EXPECT_EQ(packing->places.size(), 2u);
  EXPECT_LE(packing->mass_g, 2000);
}

TEST(PackBag, LeavesOutWhatCannotGoIn) {
  const Solid box = testing::make_box({600, 50, 50}), small = testing::make_box({40, 40, 40});
  const std::vector<BagItem> items{{"long", {&box}, 10}, {"small", {&small}, 10}};
  const auto packing = pack_bag(items, {"bag", {300, 300, 300}, 23, 5});
  EXPECT_EQ(packing->left_out, std::vector<std::size_t>{0});
  EXPECT_FALSE(packing->fits());
}

TEST(PackBag, PacksRealShapesWithoutMeeting) {
  const Solid a = testing::reference_part("elephant"), b = testing::reference_part("bracket");
  const std::vector<BagItem> items{{"elephant", {&a}, 300}, {"bracket", {&b}, 100}};
  const Vec3 sa = a.box().size(), sb = b.box().size();
  const double side = std::max({norm(sa), norm(sb)});
  const BagChoice bag{"trunk", {side, side, side}, 23, 5};
  const auto packing = pack_bag(items, bag);
  EXPECT_TRUE(packing->fits());
  expect_packed_well(items, bag, *packing);
}

TEST(PackBag, GivesTheSamePlacesOnAnyThreadCount) {
  const Solid shell = bowl();
  const std::vector<BagItem> items(3, {"bowl", {&shell}, 100});
  const BagChoice bag{"bag", {250, 200, 120}, 23, 5};
  const auto one = pack_bag(items, bag, {}, seamwright::Run{1});
  for (const int threads : {2, 7}) {
    const auto many = pack_bag(items, bag, {}, seamwright::Run{threads});
    ASSERT_EQ(one->places.size(), many->places.size());
    for (std::size_t i = 0; i < one->places.size(); ++i) {
      EXPECT_EQ(one->places[i].item, many->places[i].item);
      EXPECT_EQ(one->places[i].bag_from_part.shift, many->places[i].bag_from_part.shift);
      EXPECT_EQ(one->places[i].bag_from_part.rows, many->places[i].bag_from_part.rows);
    }
  }
}

// A carrier's rule, not a law: 158 cm in sum, 23 kg (carriers' pages, CHECKS.md, seen).
TEST(PackBag, TellsWhatCarriersDoNotTake) {
  EXPECT_TRUE(carrier_faults(BagChoice{}, 10000).empty());
  EXPECT_EQ(carrier_faults({"big", {900, 500, 300}, 23, 5}, 10000).size(), 1u);
  EXPECT_EQ(carrier_faults({"big", {900, 500, 300}, 30, 5}, 24000).size(), 2u);
}

TEST(PackBag, BagIsWellDescribed) {
  testing::expect_well_described(BagChoice{});
}

}  // namespace
}  // namespace seamwright
