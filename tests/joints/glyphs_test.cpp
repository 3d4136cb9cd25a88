// Letters of the marks: stencil strokes that leave no island.
#include "joints/glyphs.h"

#include <gtest/gtest.h>

#include <algorithm>

namespace seamwright::joints {
namespace {

constexpr std::string_view kAll = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789^v<>/\\[]";

/// The strokes of a text, in units of a sixth of their height.
std::vector<Loop2> strokes_of(std::string_view text) {
  return text_outlines(text, kGlyphHeight).value();
}

double corner_distance(const Loop2& corners, const Loop2& sides) {
  double least = 1e9;
  for (const Vec2 p : corners) {
    for (std::size_t i = 0; i < sides.size(); ++i) {
      const Vec2 a = sides[i], along = sides[(i + 1) % sides.size()] - a;
      const double t = std::clamp(dot(p - a, along) / dot(along, along), 0.0, 1.0);
      least = std::min(least, norm(p - a - along * t));
    }
  }
  return least;
}

TEST(Glyphs, StrokesLeavePlasticBetweenThem) {
  for (const char c : kAll) {
    const std::vector<Loop2> strokes = strokes_of(std::string(1, c));
    for (const Loop2& a : strokes) {
      for (const Loop2& b : strokes) {
        if (&a == &b) continue;
        EXPECT_GE(corner_distance(a, b), c == 'B' ? 0.39 : 0.2) << c;
        EXPECT_FALSE(region_contains({a, {}}, b[0])) << c << " holds an island";
      }
    }
  }
}

// B was D with a notch in its bowl.
TEST(Glyphs, BHasTwoBowlsWithABarBetweenAndDHasOne) {
  EXPECT_EQ(strokes_of("B").size(), 3u);
  EXPECT_EQ(strokes_of("D").size(), 2u);
  const auto cut_at = [](std::string_view text, Vec2 p) {
    const auto strokes = strokes_of(text);
    return std::any_of(strokes.begin(), strokes.end(), [&](const Loop2& stroke) {
      return region_contains({stroke, {}}, p);
    });
  };
  for (const double y : {0.65, -0.65}) {  // the bars, from the bowl halfway to the stem
    EXPECT_TRUE(cut_at("B", {0.2, y}));
    EXPECT_FALSE(cut_at("D", {0.2, y}));
  }
}

TEST(Glyphs, ASpacePartsTwoMarks) {
  const auto span = [](const Loop2& loop) {
    const auto [low, high] =
        std::minmax_element(loop.begin(), loop.end(), [](Vec2 a, Vec2 b) { return a.x < b.x; });
    return std::pair(low->x, high->x);
  };
  const auto parted = strokes_of("H H"), close = strokes_of("HH");
  ASSERT_EQ(parted.size(), close.size());
  const double gap = span(parted[3]).first - span(parted[1]).second;
  EXPECT_NEAR(gap - (span(close[3]).first - span(close[1]).second), kSpaceWidth + kGlyphGap, 1e-9);
  EXPECT_NEAR(span(parted[0]).first, -span(parted[4]).second, 1e-9) << "centred";
  EXPECT_NEAR(text_aspect_ratio("H H") * kGlyphHeight,
              2 * kGlyphWidth + kSpaceWidth + 2 * kGlyphGap, 1e-9);
}

}  // namespace
}  // namespace seamwright::joints
