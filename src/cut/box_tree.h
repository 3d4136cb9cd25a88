#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <vector>

#include "seamwright/core/boxes.h"

namespace seamwright::cut_detail {

/// Which of many boxes meet one. Safe to ask from many threads. Setup O(n log n), a question
/// O(log n + found) for boxes as a skin's faces have them.
class BoxTree {
 public:
  explicit BoxTree(std::vector<Box3> boxes);

  /// Calls visit(position in the list) for each box that meets this one, touching counts, until a
  /// visit returns true; in an order that depends on the boxes alone. Whether one did.
  template <class Visit>
  bool any_meeting(const Box3& box, const Visit& visit) const {
    if (nodes_.empty()) return false;
    std::array<std::uint32_t, 64> stack{0};
    for (std::size_t depth = 1; depth > 0;) {
      const std::uint32_t at = stack[--depth];
      const Node& node = nodes_[at];
      if (!boxes_meet(node.box, box)) continue;
      for (std::uint32_t i = node.first; i < node.first + node.count; ++i) {
        if (boxes_meet(boxes_[i], box) && visit(place_[i])) return true;
      }
      if (node.count > 0) continue;
      stack[depth++] = node.right;
      stack[depth++] = at + 1;
    }
    return false;
  }

 private:
  struct Node {
    Box3 box;
    std::uint32_t first = 0, count = 0;  ///< boxes of a leaf
    std::uint32_t right = 0;             ///< of an inner node; the left child follows the node
  };
  std::uint32_t build(std::uint32_t first, std::uint32_t count);

  std::vector<Box3> boxes_;           ///< leaf by leaf
  std::vector<std::uint32_t> place_;  ///< of each in the list given
  std::vector<Node> nodes_;           ///< halves in size from level to level: at most 33 levels
};

}  // namespace seamwright::cut_detail
