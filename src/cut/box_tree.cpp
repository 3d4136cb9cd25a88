#include "cut/box_tree.h"

#include <algorithm>

namespace seamwright::cut_detail {
namespace {

constexpr std::uint32_t kLeafSize = 6;

}  // namespace

BoxTree::BoxTree(std::vector<Box3> boxes) : boxes_(std::move(boxes)), place_(boxes_.size()) {
  if (boxes_.empty()) return;
  for (std::uint32_t i = 0; i < place_.size(); ++i) place_[i] = i;
  nodes_.reserve(place_.size() / 2 + 2);
  build(0, static_cast<std::uint32_t>(place_.size()));
  std::vector<Box3> sorted;
  sorted.reserve(boxes_.size());
  for (const std::uint32_t i : place_) sorted.push_back(boxes_[i]);
  boxes_ = std::move(sorted);
}

std::uint32_t BoxTree::build(std::uint32_t first, std::uint32_t count) {
  const auto at = static_cast<std::uint32_t>(nodes_.size());
  Box3 box;
  for (std::uint32_t i = first; i < first + count; ++i) {
    box.extend(boxes_[place_[i]].low);
    box.extend(boxes_[place_[i]].high);
  }
  nodes_.push_back({box, first, count, 0});
  if (count <= kLeafSize) return at;
  const Vec3 size = box.size();
  const std::size_t axis = size.x >= size.y && size.x >= size.z ? 0 : size.y >= size.z ? 1 : 2;
  const auto begin = place_.begin() + first;
  const std::uint32_t half = count / 2;
  std::nth_element(begin, begin + half, begin + count, [&](std::uint32_t a, std::uint32_t b) {
    const double at_a = boxes_[a].low[axis] + boxes_[a].high[axis];
    const double at_b = boxes_[b].low[axis] + boxes_[b].high[axis];
    return at_a != at_b ? at_a < at_b : a < b;
  });
  nodes_[at].count = 0;
  build(first, half);
  nodes_[at].right = build(first + half, count - half);
  return at;
}

}  // namespace seamwright::cut_detail
