#include "seamwright/query/cell_raster.h"

#include <gtest/gtest.h>

#include <map>

#include "support/shapes.h"

namespace seamwright {
namespace {

TEST(CellRaster, FacesCoverEachCellOfAShadowOnceFromEachSide) {
  const Solid ball = testing::make_sphere(10, 3);
  const CellRaster raster{{-10.03, -10.02}, 0.37, 0.81, 56, 26};
  std::map<std::pair<std::size_t, std::size_t>, int> up, down;
  for (std::size_t f = 0; f < ball.face_count(); ++f) {
    const auto corners = ball.corners(to_id<FaceId>(f));
    const Vec3 normal = ball.area_normal(to_id<FaceId>(f));
    for_each_covered_cell(raster, corners, [&](std::size_t row, std::size_t cell, double z) {
      ++(normal.z > 0 ? up : down)[{row, cell}];
      const double x = raster.cell_x_mm(cell), y = raster.row_y_mm(row);
      EXPECT_NEAR(std::sqrt(x * x + y * y + z * z), 10, 0.15);
      EXPECT_EQ(normal.z > 0, z > 0);
    });
  }
  EXPECT_EQ(up, down);
  for (const auto& [cell, count] : up) EXPECT_EQ(count, 1);
  EXPECT_NEAR(static_cast<double>(up.size()) * 0.37 * 0.81, 314.16, 0.02 * 314.16);
}

TEST(CellRaster, AnUprightFaceCoversNothing) {
  int count = 0;
  for_each_covered_cell({{0, 0}, 1, 1, 10, 10}, {Vec3{1, 1, 0}, Vec3{8, 1, 0}, Vec3{8, 1, 5}},
                        [&](std::size_t, std::size_t, double) { ++count; });
  EXPECT_EQ(count, 0);
}

TEST(CellRaster, OnlyFacesFlatterThanTheSlopeLookDown) {
  const double cosine = std::cos(Angle::degrees(45).radians());
  EXPECT_TRUE(looks_down({0, 0, -3}, cosine));
  EXPECT_TRUE(looks_down({1, 0, -1.1}, cosine));
  EXPECT_FALSE(looks_down({1.1, 0, -1}, cosine));
  EXPECT_FALSE(looks_down({0, 0, 1}, cosine));
  EXPECT_FALSE(looks_down({1, 0, 0}, 0));
}

}  // namespace
}  // namespace seamwright
