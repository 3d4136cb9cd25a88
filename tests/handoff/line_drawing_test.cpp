#include "seamwright/handoff/line_drawing.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <sstream>

#include "support/shapes.h"

namespace seamwright {
namespace {

using ::testing::HasSubstr;

/// All straight pieces of a drawing's paths, as x1 y1 x2 y2.
std::vector<std::array<double, 4>> lines_of(const std::string& svg) {
  std::vector<std::array<double, 4>> lines;
  for (std::size_t at = svg.find(" d=\""); at != std::string::npos;
       at = svg.find(" d=\"", at + 4)) {
    const std::size_t end = svg.find('"', at + 4);
    std::string data = svg.substr(at + 4, end - at - 4);
    for (char& c : data)
      if (c == 'M' || c == 'L') c = ' ';
    std::istringstream in(data);
    std::array<double, 4> l{};
    while (in >> l[0] >> l[1] >> l[2] >> l[3]) lines.push_back(l);
  }
  return lines;
}

double length(const std::array<double, 4>& l) {
  return std::hypot(l[2] - l[0], l[3] - l[1]);
}

TEST(LineDrawing, ABoxShowsNineEdgesOfTwelve) {
  const Solid box = testing::make_box({40, 30, 20});
  const std::string svg = line_drawing_svg({{&box, {}, "A1"}}, {}, {0.5, -1, 0.6}, {400, 300});
  std::size_t whole = 0;
  for (const auto& line : lines_of(svg)) whole += length(line) > 20;
  EXPECT_EQ(whole, 9u);
  EXPECT_THAT(svg, HasSubstr(">A1</text>"));
  EXPECT_THAT(svg, HasSubstr("<svg xmlns=\"http://www.w3.org/2000/svg\""));
}

TEST(LineDrawing, LeavesOutWhatStandsBehind) {
  const Solid front = testing::make_box({60, 5, 60}, {0, -40, 0});
  const Solid behind = testing::make_box({10, 5, 10}, {25, 0, 25});
  const auto alone = lines_of(line_drawing_svg({{&front, {}, ""}}, {}, {0, -1, 0}, {300, 300}));
  const auto both =
      lines_of(line_drawing_svg({{&front, {}, ""}, {&behind, {}, ""}}, {}, {0, -1, 0}, {300, 300}));
  EXPECT_EQ(alone.size(), both.size());
}

TEST(LineDrawing, StaysOnItsPaper) {
  const Solid ball = testing::make_sphere(30, 3);
  for (const auto& line :
       lines_of(line_drawing_svg({{&ball, {}, ""}}, {}, {1, 1, 1}, {300, 200}))) {
    for (std::size_t k : {0u, 2u}) {
      EXPECT_GE(line[k], 0);
      EXPECT_LE(line[k], 300);
      EXPECT_GE(line[k + 1], 0);
      EXPECT_LE(line[k + 1], 200);
    }
  }
}

TEST(LineDrawing, ABallShowsItsOutlineOnly) {
  const Solid ball = testing::make_sphere(30, 4);
  const auto lines = lines_of(line_drawing_svg({{&ball, {}, ""}}, {}, {1, 0.3, 0.2}, {300, 300}));
  double around = 0;
  for (const auto& line : lines) {
    around += length(line);
    for (std::size_t k : {0u, 2u})
      EXPECT_NEAR(std::hypot(line[k] - 150, line[k + 1] - 150), 135, 4);
  }
  EXPECT_GT(around, 0.9 * 2 * 3.14159 * 135);
  EXPECT_LT(around, 1.3 * 2 * 3.14159 * 135);  // it zigzags along faces
}

TEST(LineDrawing, GivesTheSameBytesOnAnyThreadCount) {
  const Solid torus = testing::make_torus(30, 8);
  const auto drawn = [&](int threads) {
    return line_drawing_svg({{&torus, {}, "B2"}}, {}, {0.4, -1, 0.7}, {300, 300},
                            {.thread_count = threads});
  };
  EXPECT_EQ(drawn(1), drawn(2));
  EXPECT_EQ(drawn(1), drawn(7));
}

}  // namespace
}  // namespace seamwright
