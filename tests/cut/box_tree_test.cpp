#include "cut/box_tree.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "seamwright/core/random.h"

namespace seamwright {
namespace {

std::vector<Box3> random_boxes(std::size_t count, Random& random) {
  std::vector<Box3> boxes(count);
  for (Box3& box : boxes) {
    // On a coarse grid, so that many touch.
    const auto place = [&] {
      return Vec3{static_cast<double>(random.below(20)), static_cast<double>(random.below(20)),
                  static_cast<double>(random.below(20))};
    };
    box.extend(place());
    box.extend(box.low + place() / 8);
  }
  return boxes;
}

TEST(BoxTree, FindsTheBoxesThatMeetOneTouchingCounts) {
  Random random(3);
  for (const std::size_t count : {0u, 1u, 6u, 7u, 300u}) {
    const std::vector<Box3> boxes = random_boxes(count, random);
    const cut_detail::BoxTree tree(boxes);
    for (const Box3& asked : random_boxes(50, random)) {
      std::vector<std::uint32_t> found, expected;
      EXPECT_FALSE(tree.any_meeting(asked, [&](std::uint32_t i) {
        found.push_back(i);
        return false;
      }));
      for (std::uint32_t i = 0; i < count; ++i) {
        if (boxes_meet(boxes[i], asked)) expected.push_back(i);
      }
      std::sort(found.begin(), found.end());
      EXPECT_EQ(found, expected);
    }
  }
}

TEST(BoxTree, StopsWhenAVisitSaysSo) {
  Random random(4);
  const cut_detail::BoxTree tree(random_boxes(200, random));
  int visits = 0;
  EXPECT_TRUE(
      tree.any_meeting({{0, 0, 0}, {20, 20, 20}}, [&](std::uint32_t) { return ++visits == 3; }));
  EXPECT_EQ(visits, 3);
}

}  // namespace
}  // namespace seamwright
