#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "seamwright/core/vec.h"
#include "seamwright/mesh/load.h"

// The kinds beside STL: what each may hold, and how a fault is named.

namespace seamwright {
namespace {

namespace fs = std::filesystem;
using ::testing::HasSubstr;

Result<TriangleSoup> loaded(const std::string& name, const std::string& content) {
  const fs::path file =
      fs::temp_directory_path() / ("seamwright-kinds-" + std::to_string(::getpid()) + "-" + name);
  std::ofstream(file, std::ios::binary) << content;
  Result<TriangleSoup> soup = load_mesh(file);
  fs::remove(file);
  return soup;
}

void expect_triangle(const Result<TriangleSoup>& soup) {
  ASSERT_TRUE(soup) << soup.error().message;
  ASSERT_EQ(soup->triangles.size(), 1U);
  EXPECT_EQ(soup->points[to_index(soup->triangles[0][0])], (Vec3{0, 0, 0}));
  EXPECT_EQ(soup->points[to_index(soup->triangles[0][1])], (Vec3{1, 0, 0}));
  EXPECT_EQ(soup->points[to_index(soup->triangles[0][2])], (Vec3{0, 1, 0.5}));
}

void expect_fault(const Result<TriangleSoup>& soup, const std::string& code,
                  const std::string& part) {
  ASSERT_FALSE(soup) << "expected " << code;
  EXPECT_EQ(soup.error().code, code) << soup.error().message;
  EXPECT_THAT(soup.error().message, HasSubstr(part));
}

TEST(LoadOff, ReadsCountsOnEitherLineAndComments) {
  expect_triangle(loaded("a.off", "OFF 3 1 0\n0 0 0\n1 0 0\n0 1 .5\n3 0 1 2\n"));
  expect_triangle(loaded(
      "a.off", "# made by hand\nOFF\n\n3 1 0 # counts\n0 0 0\n1 0 0\n\n0 1 .5\n3 0 1 2 255 0 0\n"));
  expect_triangle(loaded(
      "a.off", "COFF\r\n3 1 0\r\n0 0 0 1 1 1 1\r\n1 0 0 1 1 1 1\r\n0 1 .5 1 1 1 1\r\n3 0 1 2\r\n"));
}

TEST(LoadOff, NamesTheLineOfAFault) {
  expect_fault(loaded("a.off", "OFF\n3 1 0\n0 0 0\n1 zero 0\n0 1 0\n3 0 1 2\n"), "file-malformed",
               "line 4: \"zero\"");
  expect_fault(loaded("a.off", "OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n3 0 1 3\n"), "file-malformed",
               "line 6: point \"3\"");
  expect_fault(loaded("a.off", "OFF\n3 1 0\n0 0 0\n1 nan 0\n0 1 0\n3 0 1 2\n"), "file-not-finite",
               "line 4");
  expect_fault(loaded("a.off", "OFF\n3 1 0\n0 0 0\n1 0 0\n0 1 0\n"), "file-truncated",
               "0 of 1 faces");
  expect_fault(loaded("a.off", "OFF\n3 -1 0\n0 0 0\n1 0 0\n0 1 0\n"), "file-malformed",
               "\"-1\" is no count");
  expect_fault(loaded("a.off", "OFF BINARY\n....\n"), "file-malformed", "kind of OFF");
  expect_fault(loaded("a.off", "OFF\n3 0 0\n0 0 0\n1 0 0\n0 1 0\n"), "no-faces", "a.off");
}

TEST(LoadObj, NamesTheLineOfAFault) {
  const std::string points = "v 0 0 0\nv 1 0 0\nv 0 1 0\n";
  expect_fault(loaded("a.obj", points + "f 1 2 4\n"), "file-malformed",
               "line 4: point \"4\" does not exist; there are 3");
  expect_fault(loaded("a.obj", points + "f 1 2 -4\n"), "file-malformed", "line 4: point \"-4\"");
  expect_fault(loaded("a.obj", points + "f 0 1 2\n"), "file-malformed", "line 4: point \"0\"");
  expect_fault(loaded("a.obj", points + "f 1 2\n"), "file-malformed", "fewer than three");
  expect_fault(loaded("a.obj", points + "v 1 inf 2\nf 1 2 3\n"), "file-not-finite", "line 4");
  expect_fault(loaded("a.obj", points + "v 1 2\nf 1 2 3\n"), "file-malformed",
               "line 4: a number is missing");
  expect_fault(loaded("a.obj", points), "no-faces", "a.obj");
}

TEST(LoadObj, KeepsDoublePrecision) {
  const TriangleSoup soup =
      loaded("a.obj", "v 0.1234567890123456 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n").value();
  EXPECT_EQ(soup.points[0].x, 0.1234567890123456);
}

TEST(LoadObj, HasNoGroupsWhereTheFileNamesNone) {
  EXPECT_TRUE(loaded("a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n").value().groups.empty());
}

TEST(LoadObj, FacesBeforeTheFirstGroupHaveTheEmptyOne) {
  const TriangleSoup soup =
      loaded("a.obj", "v 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\ng rim\nf 1 3 2\n").value();
  ASSERT_EQ(soup.groups.size(), 2U);
  EXPECT_EQ(soup.group_names[soup.groups[1]], "rim/");
  EXPECT_NE(soup.groups[0], soup.groups[1]);
}

/// A PLY of one triangle, the numbers as bytes of either order.
std::string binary_ply(bool is_big, bool is_double) {
  std::string bytes = std::string("ply\nformat binary_") + (is_big ? "big" : "little") +
                      "_endian 1.0\ncomment by hand\nelement vertex 3\nproperty uchar red\n";
  for (const char* axis : {"x", "y", "z"})
    bytes += std::string("property ") + (is_double ? "double " : "float ") + axis + "\n";
  bytes +=
      "element edge 1\nproperty int vertex1\nelement face 1\nproperty list uchar short "
      "vertex_indices\nproperty uchar blue\nend_header\n";
  const auto put = [&](auto value) {
    std::string raw(reinterpret_cast<const char*>(&value), sizeof value);
    if (is_big) std::reverse(raw.begin(), raw.end());
    bytes += raw;
  };
  for (const Vec3& p : {Vec3{0, 0, 0}, Vec3{1, 0, 0}, Vec3{0, 1, 0.5}}) {
    put(std::uint8_t{200});
    for (std::size_t k = 0; k < 3; ++k) {
      if (is_double)
        put(p[k]);
      else
        put(static_cast<float>(p[k]));
    }
  }
  put(std::int32_t{7});
  put(std::uint8_t{3});
  for (std::int16_t i : {0, 1, 2}) put(i);
  put(std::uint8_t{9});
  return bytes;
}

TEST(LoadPly, ReadsBothByteOrdersAndOtherElements) {
  for (bool is_big : {false, true}) {
    for (bool is_double : {false, true})
      expect_triangle(loaded("a.ply", binary_ply(is_big, is_double)));
  }
}

TEST(LoadPly, ReadsText) {
  expect_triangle(loaded("a.ply",
                         "ply\r\nformat ascii 1.0\r\nelement vertex 3\r\nproperty float "
                         "x\r\nproperty float y\r\nproperty float z\r\n"
                         "element face 1\r\nproperty list uchar int "
                         "vertex_index\r\nend_header\r\n0 0 0\r\n1 0 0\r\n0 1 0.5\r\n3 0 1 2\r\n"));
}

TEST(LoadPly, RefusesEveryShortening) {
  for (bool is_big : {false, true}) {
    const std::string whole = binary_ply(is_big, false);
    for (std::size_t size = 4; size + 1 < whole.size(); ++size)
      EXPECT_FALSE(loaded("a.ply", whole.substr(0, size))) << size;
  }
}

TEST(LoadPly, NamesThePlaceOfAFault) {
  std::string bytes = binary_ply(false, false);
  bytes[bytes.size() - 2] = 5;  // the high byte of the last corner
  expect_fault(loaded("a.ply", bytes), "file-malformed", "face 1 names point 1282");
  expect_fault(
      loaded("a.ply", "ply\nformat ascii 1.0\nelement vertex 3\nproperty quad x\nend_header\n"),
      "file-malformed", "line 4: \"quad\"");
  expect_fault(loaded("a.ply", "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\n"),
               "file-truncated", "no end");
}

}  // namespace
}  // namespace seamwright
