#include "seamwright/handoff/picture.h"

#include <gtest/gtest.h>
#include <png.h>

#include "support/shapes.h"

namespace seamwright {
namespace {

using testing::make_box;

constexpr Colour kRose{196, 122, 108}, kPale{230, 210, 205};

PictureScene scene_of(const Solid& solid, Transform placement = {}) {
  PictureScene scene;
  scene.solids.push_back({&solid, placement, kRose, kPale});
  return scene;
}

Colour pixel(const Picture& picture, int x, int y) {
  const std::uint8_t* rgb = picture.rgb.data() + 3 * (y * picture.size.width + x);
  return {rgb[0], rgb[1], rgb[2]};
}

// A cube seen along a face's normal by parallel rays shows its face: 50² of 100² mm. Derived.
TEST(Picture, ACubesSilhouetteHasItsFacesArea) {
  const Solid cube = make_box({50, 50, 50});
  const Camera camera{{25, -200, 25}, {25, 25, 25}, {0, 0, 1}, std::nullopt, 100};
  const Picture picture = render_picture(scene_of(cube), camera, {200, 200});
  EXPECT_NEAR(picture.labels.at(0).shown_ratio, 0.25, 0.0025);
}

// Along its space diagonal a cube of edge a shows a hexagon of area √3 a². Derived.
TEST(Picture, ACubesSilhouetteAlongItsDiagonalIsTheHexagon) {
  const Solid cube = make_box({50, 50, 50});
  const Camera camera{{225, 225, 225}, {25, 25, 25}, {0, 0, 1}, std::nullopt, 120};
  const Picture picture = render_picture(scene_of(cube), camera, {400, 400});
  const double expected = std::sqrt(3.0) * 50 * 50 / (120 * 120);
  EXPECT_NEAR(picture.labels.at(0).shown_ratio, expected, 0.01 * expected);
}

// In perspective the face at distance d of a view of angle α is (a / (2 d tan(α/2)))² of it.
// Derived.
TEST(Picture, PerspectiveIsTrueToMillimetres) {
  const Solid cube = make_box({50, 50, 50});
  const Camera camera{{25, -150, 25}, {25, 25, 25}, {0, 0, 1}, Angle::degrees(40), 0};
  const Picture picture = render_picture(scene_of(cube), camera, {300, 300});
  const double expected = std::pow(50 / (2 * 150 * std::tan(Angle::degrees(20).radians())), 2);
  EXPECT_NEAR(picture.labels.at(0).shown_ratio, expected, 0.01 * expected);
}

TEST(Picture, PaperIsLeftAsItIs) {
  const Solid cube = make_box({50, 50, 50});
  const Camera camera{{25, -200, 25}, {25, 25, 25}, {0, 0, 1}, std::nullopt, 100};
  const Picture picture = render_picture(scene_of(cube), camera, {100, 100});
  EXPECT_EQ(pixel(picture, 2, 2), PictureScene{}.paper);
  EXPECT_NE(pixel(picture, 50, 50), PictureScene{}.paper);
}

TEST(Picture, LinesAreHiddenBehindSurfaces) {
  const Solid cube = make_box({50, 50, 50});
  const Camera camera{{25, -200, 25}, {25, 25, 25}, {0, 0, 1}, std::nullopt, 100};
  const Picture plain = render_picture(scene_of(cube), camera, {100, 100});
  PictureScene before = scene_of(cube), behind = scene_of(cube);
  before.lines.push_back({{0, -1, 25}, {50, -1, 25}, {0, 0, 0}, LineWeight::medium});
  behind.lines.push_back({{0, 51, 25}, {50, 51, 25}, {0, 0, 0}, LineWeight::medium});
  EXPECT_NE(pixel(render_picture(before, camera, {100, 100}), 50, 50), pixel(plain, 50, 50));
  EXPECT_EQ(render_picture(behind, camera, {100, 100}).rgb, plain.rgb);
}

TEST(Picture, LinesThatLieInASurfaceAreSeen) {
  const Solid cube = make_box({50, 50, 50});
  const Camera camera{{25, -200, 25}, {25, 25, 25}, {0, 0, 1}, std::nullopt, 100};
  PictureScene scene = scene_of(cube);
  scene.lines.push_back({{0, 0, 25}, {50, 0, 25}, {0, 0, 0}, LineWeight::medium});
  const Picture picture = render_picture(scene, camera, {100, 100});
  for (int x = 27; x < 73; ++x) EXPECT_LT(pixel(picture, x, 50).red, 100) << x;
}

TEST(Picture, WhatLittleSkyReachesIsDarker) {
  // A deep slot between two blocks: its floor is darker than the tops.
  const Solid left = make_box({40, 40, 60}), right = make_box({40, 40, 60}, {50, 0, 0}),
              floor = make_box({90, 40, 5});
  PictureScene scene;
  for (const Solid* solid : {&left, &right, &floor})
    scene.solids.push_back({solid, {}, kRose, kPale});
  const Camera camera{{45, 20, 400}, {45, 20, 0}, {0, 1, 0}, std::nullopt, 60};
  const Picture picture = render_picture(scene, camera, {150, 100});
  EXPECT_LT(pixel(picture, 75, 50).red + 25, pixel(picture, 30, 50).red);
}

TEST(Picture, LabelsLieOnTheirSolids) {
  const Solid left = make_box({40, 40, 40}), right = make_box({40, 40, 40}, {60, 0, 0}),
              inside = make_box({10, 10, 10}, {15, 15, 15});
  PictureScene scene;
  for (const Solid* solid : {&left, &right, &inside})
    scene.solids.push_back({solid, {}, kRose, kPale});
  const Camera camera{{50, -300, 20}, {50, 20, 20}, {0, 0, 1}, std::nullopt, 100};
  const Picture picture = render_picture(scene, camera, {200, 100});
  EXPECT_NEAR(picture.labels[0].x_ratio, 0.35, 0.02);
  EXPECT_NEAR(picture.labels[1].x_ratio, 0.65, 0.02);
  EXPECT_NEAR(picture.labels[0].y_ratio, 0.5, 0.02);
  EXPECT_EQ(picture.labels[2].shown_ratio, 0);
}

TEST(Picture, ProjectedPointsFallWhereTheyAreDrawn) {
  const Camera camera{{25, -200, 25}, {25, 25, 25}, {0, 0, 1}, std::nullopt, 100};
  const auto at = project_point(camera, {200, 100}, {50, 0, 50});
  ASSERT_TRUE(at);
  EXPECT_NEAR(at->x, 0.5 + 25.0 / 200, 1e-9);
  EXPECT_NEAR(at->y, 0.25, 1e-9);
  const Camera near{{0, 0, 0}, {0, 1, 0}, {0, 0, 1}, Angle::degrees(40), 0};
  EXPECT_FALSE(project_point(near, {100, 100}, {0, -5, 0}));
}

TEST(Picture, AFramedCameraSeesAllPointsAndFillsThePicture) {
  const std::vector<Vec3> points{
      {0, 0, 0}, {600, 0, 0}, {600, 300, 200}, {0, 300, 0}, {50, 20, 200}};
  const PictureSize size{300, 200};
  const Camera camera = frame_points(points, {0.4, -1, 0.6}, size);
  Box3 seen;
  for (const Vec3& p : points) {
    const auto at = project_point(camera, size, p);
    ASSERT_TRUE(at);
    seen.extend({at->x, at->y, 0});
  }
  EXPECT_GT(seen.low.x, 0);
  EXPECT_GT(seen.low.y, 0);
  EXPECT_LT(seen.high.x, 1);
  EXPECT_LT(seen.high.y, 1);
  EXPECT_GT(std::max(seen.size().x, seen.size().y), 0.8);
}

TEST(Picture, IsTheSameOnAnyThreadCount) {
  const Solid torus = testing::make_torus(20, 8);
  PictureScene scene = scene_of(torus);
  scene.ground = PictureGround{-8};
  scene.lines.push_back({{-30, 0, 9}, {30, 0, 9}, {0, 0, 0}, LineWeight::thin});
  const Camera camera = frame_points({{-30, -30, -8}, {30, 30, 8}}, {0.4, -1, 0.8}, {120, 90});
  const Picture one = render_picture(scene, camera, {120, 90}, {.thread_count = 1});
  for (const int threads : {2, 7}) {
    EXPECT_EQ(render_picture(scene, camera, {120, 90}, {.thread_count = threads}).rgb, one.rgb);
  }
}

TEST(Picture, PngReadsBackAndHoldsNoTime) {
  Picture picture{{7, 5}, std::vector<std::uint8_t>(3 * 35), {}};
  for (std::size_t i = 0; i < picture.rgb.size(); ++i)
    picture.rgb[i] = static_cast<std::uint8_t>(37 * i);
  const std::string bytes = png_bytes(picture);
  EXPECT_EQ(bytes, png_bytes(picture));
  for (const char* chunk : {"tIME", "tEXt", "zTXt", "iTXt"})
    EXPECT_EQ(bytes.find(chunk), std::string::npos) << chunk;
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  ASSERT_TRUE(png_image_begin_read_from_memory(&image, bytes.data(), bytes.size()));
  image.format = PNG_FORMAT_RGB;
  std::vector<std::uint8_t> rgb(PNG_IMAGE_SIZE(image));
  ASSERT_TRUE(png_image_finish_read(&image, nullptr, rgb.data(), 0, nullptr));
  EXPECT_EQ(rgb, picture.rgb);
}

}  // namespace
}  // namespace seamwright
