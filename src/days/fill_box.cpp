#include "seamwright/days/fill_box.h"

#include <algorithm>

#include "seamwright/core/result.h"

namespace seamwright {
namespace {

/// Boxes of one size, and the ways they can be turned.
struct BoxKind {
  CellSize size{};
  std::vector<CellSize> turns;
  std::vector<std::size_t> boxes;  ///< positions in the input
  std::size_t left = 0;
  int volume = 0, odd_layers = 0;
};

int volume_of(const CellSize& size) {
  return size[0] * size[1] * size[2];
}

/// How many layers, of all three directions, one box can turn from odd to even.
int odd_layers_of(const CellSize& size) {
  int count = 0;
  for (std::size_t axis = 0; axis < 3; ++axis) {
    if (size[(axis + 1) % 3] * size[(axis + 2) % 3] % 2 == 1) count += size[axis];
  }
  return count;
}

std::vector<BoxKind> kinds_of(std::span<const CellSize> boxes) {
  std::vector<BoxKind> kinds;
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    CellSize sorted = boxes[i];
    std::sort(sorted.begin(), sorted.end());
    auto kind = std::find_if(kinds.begin(), kinds.end(),
                             [&](const BoxKind& k) { return k.size == sorted; });
    if (kind == kinds.end()) {
      kinds.push_back({sorted, {}, {}, 0, volume_of(sorted), odd_layers_of(sorted)});
      kind = kinds.end() - 1;
      CellSize turn = sorted;
      do kind->turns.push_back(turn);
      while (std::next_permutation(turn.begin(), turn.end()));
    }
    kind->boxes.push_back(i);
    ++kind->left;
  }
  std::stable_sort(kinds.begin(), kinds.end(),
                   [](const BoxKind& a, const BoxKind& b) { return a.volume > b.volume; });
  return kinds;
}

class Filler {
 public:
  Filler(std::span<const CellSize> boxes, CellSize container, std::uint64_t most_steps)
      : kinds_(kinds_of(boxes)),
        container_(container),
        taken_(static_cast<std::size_t>(volume_of(container)), 0),
        most_steps_(most_steps) {
    places_.resize(boxes.size());
    left_count_ = boxes.size();
    spare_ = volume_of(container);
    for (const BoxKind& kind : kinds_) {
      spare_ -= kind.volume * static_cast<int>(kind.left);
      odd_supply_ += kind.odd_layers * static_cast<int>(kind.left);
    }
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const int section = volume_of(container) / container[axis];
      free_[axis].assign(static_cast<std::size_t>(container[axis]), section);
      if (section % 2 == 1) odd_layers_ += container[axis];
    }
  }

  BoxFilling run() {
    BoxFilling filling;
    const bool fits = spare_ >= 0 && each_goes_in() && place_next(0);
    filling.answer = fits                    ? FillAnswer::fits
                     : steps_ >= most_steps_ ? FillAnswer::gave_up
                                             : FillAnswer::fits_not;
    filling.step_count = steps_;
    if (fits) filling.places = places_;
    return filling;
  }

 private:
  std::size_t index(int x, int y, int z) const {
    return static_cast<std::size_t>((z * container_[1] + y) * container_[0] + x);
  }

  bool each_goes_in() const {
    CellSize room = container_;
    std::sort(room.begin(), room.end());
    return std::all_of(kinds_.begin(), kinds_.end(), [&](const BoxKind& kind) {
      return kind.size[0] <= room[0] && kind.size[1] <= room[1] && kind.size[2] <= room[2];
    });
  }

  /// Fills from the cell with this index on.
  bool place_next(std::size_t cell) {
    if (left_count_ == 0) return true;
    while (cell < taken_.size() && taken_[cell] != 0) ++cell;
    if (cell == taken_.size() || steps_ >= most_steps_) return false;
    // A cell left empty is a box of one cell: it helps three odd layers.
    if (odd_layers_ > odd_supply_ + 3 * spare_) return false;
    const int width = container_[0], depth = container_[1];
    const CellSize at{static_cast<int>(cell) % width, static_cast<int>(cell) / width % depth,
                      static_cast<int>(cell) / (width * depth)};
    for (BoxKind& kind : kinds_) {
      if (kind.left > 0 && place_kind(kind, at, cell)) return true;
    }
    if (spare_ == 0) return false;
    --spare_;
    mark(at, {1, 1, 1}, 1);
    if (place_next(cell + 1)) return true;
    mark(at, {1, 1, 1}, 0);
    ++spare_;
    return false;
  }

  bool place_kind(BoxKind& kind, CellSize at, std::size_t cell) {
    for (const CellSize& size : kind.turns) {
      if (!is_free(at, size)) continue;
      ++steps_;
      --kind.left;
      --left_count_;
      odd_supply_ -= kind.odd_layers;
      mark(at, size, 1);
      places_[kind.boxes[kind.left]] = {at, size};
      if (place_next(cell + static_cast<std::size_t>(size[0]))) return true;
      mark(at, size, 0);
      odd_supply_ += kind.odd_layers;
      ++left_count_;
      ++kind.left;
    }
    return false;
  }

  bool is_free(CellSize at, CellSize size) const {
    for (std::size_t axis = 0; axis < 3; ++axis) {
      if (at[axis] + size[axis] > container_[axis]) return false;
    }
    for (int z = at[2]; z < at[2] + size[2]; ++z) {
      for (int y = at[1]; y < at[1] + size[1]; ++y) {
        for (int x = at[0]; x < at[0] + size[0]; ++x) {
          if (taken_[index(x, y, z)] != 0) return false;
        }
      }
    }
    return true;
  }

  void mark(CellSize at, CellSize size, char taken) {
    for (int z = at[2]; z < at[2] + size[2]; ++z) {
      for (int y = at[1]; y < at[1] + size[1]; ++y) {
        for (int x = at[0]; x < at[0] + size[0]; ++x) taken_[index(x, y, z)] = taken;
      }
    }
    const int sign = taken != 0 ? -1 : 1;
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const int section = volume_of(size) / size[axis];
      for (int layer = at[axis]; layer < at[axis] + size[axis]; ++layer) {
        int& free = free_[axis][static_cast<std::size_t>(layer)];
        odd_layers_ -= free % 2;
        free += sign * section;
        odd_layers_ += free % 2;
      }
    }
  }

  std::vector<BoxKind> kinds_;
  CellSize container_;
  std::vector<char> taken_;
  std::uint64_t most_steps_, steps_ = 0;
  std::vector<BoxPlace> places_;
  std::size_t left_count_ = 0;
  int spare_ = 0, odd_layers_ = 0, odd_supply_ = 0;
  std::array<std::vector<int>, 3> free_;
};

}  // namespace

BoxFilling fill_box(std::span<const CellSize> boxes, CellSize container, std::uint64_t most_steps) {
  for (const CellSize& box : boxes)
    require(std::min({box[0], box[1], box[2]}) > 0, "a box has sides of at least one cell");
  require(std::min({container[0], container[1], container[2]}) > 0, "a container has sides");
  return Filler(boxes, container, most_steps).run();
}

}  // namespace seamwright
