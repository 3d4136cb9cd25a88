#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <png.h>

#include <algorithm>
#include <stdexcept>

#include "seamwright/mesh/save.h"
#include "support/app_folder.h"
#include "support/shapes.h"

namespace seamwright {
namespace {

using ::testing::HasSubstr;

struct Pixels {
  std::size_t width = 0, height = 0;
  std::vector<std::uint8_t> rgb;
};

Pixels pixels_of(const std::string& bytes) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  if (!png_image_begin_read_from_memory(&image, bytes.data(), bytes.size()))
    throw std::runtime_error(image.message);
  image.format = PNG_FORMAT_RGB;
  Pixels out{image.width, image.height, std::vector<std::uint8_t>(PNG_IMAGE_SIZE(image))};
  if (!png_image_finish_read(&image, nullptr, out.rgb.data(), 0, nullptr))
    throw std::runtime_error(image.message);
  return out;
}

/// What one half shows in one of the two views.
struct Face {
  double middle_x = 0;             ///< of its joint face, in pixels
  std::size_t area = 0;            ///< pixels of that
  std::vector<std::size_t> spots;  ///< pixels of each darker spot wholly inside it
};

/// One of the two views, the upper or the lower half of the picture.
class View {
 public:
  View(const Pixels& picture, std::size_t row)
      : width_(picture.width), height_(picture.height / 2) {
    const auto from = static_cast<std::ptrdiff_t>(3 * row * width_ * height_);
    rgb_.assign(picture.rgb.begin() + from,
                picture.rgb.begin() + from + static_cast<std::ptrdiff_t>(3 * width_ * height_));
  }

  /// The joint face is the brightest of the half's colour: it looks up and is evenly lit.
  Face face(bool is_green) const {
    std::vector<int> lights;
    for (std::size_t i = 0; i < width_ * height_; ++i)
      if (is_half(i, is_green)) lights.push_back(light(i));
    std::sort(lights.begin(), lights.end());
    const double bright = lights.at(lights.size() * 9 / 10);
    std::vector<char> is_face(width_ * height_, 0);
    Face face;
    for (std::size_t i = 0; i < is_face.size(); ++i) {
      if (!is_half(i, is_green) || light(i) < 0.88 * bright) continue;
      is_face[i] = 1;
      ++face.area;
      face.middle_x += static_cast<double>(i % width_);
    }
    face.middle_x /= static_cast<double>(face.area);
    face.spots = spots_in(is_face);
    return face;
  }

 private:
  int channel(std::size_t i, std::size_t c) const { return rgb_[3 * i + c]; }
  int light(std::size_t i) const { return channel(i, 0) + channel(i, 1) + channel(i, 2); }
  bool is_half(std::size_t i, bool is_green) const {
    const auto [low, high] = std::minmax({channel(i, 0), channel(i, 1), channel(i, 2)});
    return high - low > 20 && (channel(i, 1) > channel(i, 0)) == is_green;
  }

  /// What is no face and can't be reached from the picture's border over such pixels, by size.
  std::vector<std::size_t> spots_in(std::vector<char> is_done) const {
    for (std::size_t x = 0; x < width_; ++x)
      for (const std::size_t y : {std::size_t{0}, height_ - 1}) flood(is_done, y * width_ + x);
    for (std::size_t y = 0; y < height_; ++y)
      for (const std::size_t x : {std::size_t{0}, width_ - 1}) flood(is_done, y * width_ + x);
    std::vector<std::size_t> spots;
    for (std::size_t i = 0; i < is_done.size(); ++i) {
      const std::size_t pixels = flood(is_done, i);
      if (pixels >= 60) spots.push_back(pixels);  // smaller: edges, smoothed
    }
    return spots;
  }

  std::size_t flood(std::vector<char>& is_done, std::size_t from) const {
    std::size_t count = 0;
    std::vector<std::size_t> open{from};
    while (!open.empty()) {
      const std::size_t i = open.back();
      open.pop_back();
      if (is_done[i]) continue;
      is_done[i] = 1;
      ++count;
      const std::size_t x = i % width_, y = i / width_;
      if (x > 0) open.push_back(i - 1);
      if (x + 1 < width_) open.push_back(i + 1);
      if (y > 0) open.push_back(i - width_);
      if (y + 1 < height_) open.push_back(i + width_);
    }
    return count;
  }

  std::size_t width_, height_;
  std::vector<std::uint8_t> rgb_;
};

/// A rod that needs three pieces, split with keys of a kind; letters would be spots as well.
class SampleCommand : public testing::AppFolder {
 protected:
  std::string picture_of_joint(const std::string& key) const {
    write("rod.stl", stl_bytes(testing::make_box({400, 36, 28})));
    write("job.toml", "[part]\nfile = \"rod.stl\"\n[joints]\nhas_marks = false\n");
    const auto split =
        testing::run_words({"split", "--job", path("job.toml"), "--out", path("out"), "--records",
                            path("records"), "--effort", "quick", "--key", key});
    EXPECT_EQ(split.exit, Exit::done) << split.err;
    const auto sample =
        testing::run_words({"sample", "J1", path("out"), "--out", path("sample"), "--width", "40"});
    EXPECT_EQ(sample.exit, Exit::done) << sample.err;
    EXPECT_THAT(sample.out, HasSubstr("J1-above.stl"));
    EXPECT_THAT(sample.out, HasSubstr("J1-below.stl"));
    return text_of("sample/J1.png");
  }
};

// The picture, read back: both halves open like a book, and turned over in the lower view.
TEST_F(SampleCommand, DrawsBothHalvesFromBothSidesWithTheSameHolesInBoth) {
  const Pixels picture = pixels_of(picture_of_joint("dowel"));
  ASSERT_EQ(picture.width, 900u);
  ASSERT_EQ(picture.height, 900u);
  for (const std::size_t row : {0, 1}) {
    const View view(picture, row);
    const Face above = view.face(false), below = view.face(true);
    EXPECT_GT(above.area, 10000u);
    EXPECT_GT(below.area, 10000u);
    EXPECT_EQ(above.middle_x < below.middle_x, row == 0) << "the above half lies on the left";
    EXPECT_GE(above.spots.size(), 1u) << "no hole of the joint is seen";
    EXPECT_EQ(above.spots.size(), below.spots.size()) << "one half has holes the other has not";
  }
}

TEST_F(SampleCommand, DrawsAButtJointWithoutSpotsAndNamesTheJointsThatThereAre) {
  const Pixels picture = pixels_of(picture_of_joint("none"));
  for (const std::size_t row : {0, 1}) {
    for (const bool is_green : {false, true}) {
      const Face face = View(picture, row).face(is_green);
      EXPECT_GT(face.area, 10000u);
      EXPECT_TRUE(face.spots.empty());
    }
  }
  const auto sample = testing::run_words({"sample", "J99", path("out")});
  EXPECT_EQ(sample.exit, Exit::bad_input);
  EXPECT_THAT(sample.err, HasSubstr("no such joint in the plan, which has J1 to"));
}

}  // namespace
}  // namespace seamwright
