#include "handoff/picture_labels.h"

namespace seamwright {
namespace {

/// Distances to the border of each thing's own spots: two sweeps over the picture.
class Depths {
 public:
  Depths(std::span<const int> things, PictureSize size)
      : things_(things), size_(size), depth_(things.size(), 0) {
    for (int y = 0; y < size.height; ++y)
      for (int x = 0; x < size.width; ++x) sweep(x, y, -1);
    for (int y = size.height - 1; y >= 0; --y)
      for (int x = size.width - 1; x >= 0; --x) sweep(x, y, 1);
  }
  int operator[](std::size_t i) const { return depth_[i]; }

 private:
  int neighbour(int x, int y, int thing) const {
    if (x < 0 || y < 0 || x >= size_.width || y >= size_.height) return 0;
    const auto i = static_cast<std::size_t>(y * size_.width + x);
    return things_[i] == thing ? depth_[i] : 0;
  }
  void sweep(int x, int y, int way) {
    const auto i = static_cast<std::size_t>(y * size_.width + x);
    const int t = things_[i];
    const int depth =
        std::min(std::min(neighbour(x + way, y, t), neighbour(x, y + way, t)) + 3,
                 std::min(neighbour(x + way, y + way, t), neighbour(x - way, y + way, t)) + 4);
    depth_[i] = way < 0 ? depth : std::min(depth_[i], depth);
  }

  std::span<const int> things_;
  PictureSize size_;
  std::vector<int> depth_;
};

}  // namespace

std::vector<PictureLabel> place_labels(std::span<const int> things, PictureSize size,
                                       std::size_t solid_count) {
  const Depths depths(things, size);
  std::vector<PictureLabel> labels(solid_count);
  std::vector<std::size_t> counts(solid_count, 0);
  std::vector<int> deepest(solid_count, 0);
  for (std::size_t i = 0; i < things.size(); ++i) {
    if (things[i] < 0 || static_cast<std::size_t>(things[i]) >= solid_count) continue;
    const auto thing = static_cast<std::size_t>(things[i]);
    ++counts[thing];
    if (depths[i] <= deepest[thing]) continue;
    deepest[thing] = depths[i];
    const auto width = static_cast<std::size_t>(size.width);
    labels[thing].x_ratio = (static_cast<double>(i % width) + 0.5) / size.width;
    labels[thing].y_ratio = (static_cast<double>(i / width) + 0.5) / size.height;
  }
  for (std::size_t s = 0; s < solid_count; ++s) {
    labels[s].shown_ratio = static_cast<double>(counts[s]) / static_cast<double>(things.size());
  }
  return labels;
}

}  // namespace seamwright
