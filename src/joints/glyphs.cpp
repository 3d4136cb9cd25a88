#include "joints/glyphs.h"

#include <algorithm>
#include <array>

namespace seamwright::joints {
namespace {

using Line = std::vector<Vec2>;  // a stroke's middle, in a box 3.2 wide and 5.1 high
using Glyph = std::vector<Line>;

constexpr double kHalf = kStrokeWidth / 2;

struct Stroke {
  char glyph;
  std::size_t count;
  std::array<Vec2, 14> points;
};

// Strokes that would meet stop 1.3 apart, middle to end: 0.4 of plastic is left between them.
// clang-format off
constexpr Stroke kStrokes[] = {
    {'A', 6, {{{0, 0}, {0, 4.2}, {0.9, 5.1}, {2.3, 5.1}, {3.2, 4.2}, {3.2, 0}}}},
    {'A', 2, {{{1.3, 2.2}, {1.9, 2.2}}}},
    {'B', 2, {{{0, 0}, {0, 5.1}}}},
    {'B', 9, {{{1.3, 5.1}, {2.6, 5.1}, {3.2, 4.5}, {3.2, 3.15}, {2.6, 2.55}, {3.2, 1.95},
      {3.2, 0.6}, {2.6, 0}, {1.3, 0}}}},
    {'C', 10, {{{3.2, 4}, {3.2, 4.4}, {2.5, 5.1}, {0.7, 5.1}, {0, 4.4}, {0, 0.7}, {0.7, 0},
      {2.5, 0}, {3.2, 0.7}, {3.2, 1.1}}}},
    {'D', 2, {{{0, 0}, {0, 5.1}}}},
    {'D', 6, {{{1.3, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 0.7}, {2.5, 0}, {1.3, 0}}}},
    {'E', 4, {{{3.2, 5.1}, {0, 5.1}, {0, 0}, {3.2, 0}}}},
    {'E', 2, {{{1.3, 2.55}, {2.6, 2.55}}}},
    {'F', 3, {{{3.2, 5.1}, {0, 5.1}, {0, 0}}}},
    {'F', 2, {{{1.3, 2.55}, {2.6, 2.55}}}},
    {'G', 11, {{{3.2, 4.1}, {3.2, 4.4}, {2.5, 5.1}, {0.7, 5.1}, {0, 4.4}, {0, 0.7}, {0.7, 0},
      {2.5, 0}, {3.2, 0.7}, {3.2, 2.4}, {2, 2.4}}}},
    {'H', 2, {{{0, 0}, {0, 5.1}}}},
    {'H', 2, {{{3.2, 0}, {3.2, 5.1}}}},
    {'H', 2, {{{1.3, 2.55}, {1.9, 2.55}}}},
    {'I', 2, {{{1.6, 0}, {1.6, 5.1}}}},
    {'J', 6, {{{3.2, 5.1}, {3.2, 0.7}, {2.5, 0}, {0.7, 0}, {0, 0.7}, {0, 1.4}}}},
    {'K', 2, {{{0, 0}, {0, 5.1}}}},
    {'K', 3, {{{3.2, 5.1}, {1.45, 2.55}, {3.2, 0}}}},
    {'L', 3, {{{0, 5.1}, {0, 0}, {3.2, 0}}}},
    {'M', 6, {{{0, 0}, {0, 4.4}, {0.7, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 0}}}},
    {'M', 2, {{{1.6, 3.8}, {1.6, 0}}}},
    {'N', 2, {{{0, 0}, {0, 5.1}}}},
    {'N', 2, {{{3.2, 0}, {3.2, 5.1}}}},
    {'N', 2, {{{1.3, 3.6}, {1.9, 1.5}}}},
    {'O', 6, {{{0.95, 5.1}, {0.7, 5.1}, {0, 4.4}, {0, 0.7}, {0.7, 0}, {0.95, 0}}}},
    {'O', 6, {{{2.25, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 0.7}, {2.5, 0}, {2.25, 0}}}},
    {'P', 2, {{{0, 0}, {0, 5.1}}}},
    {'P', 6, {{{1.3, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 3.1}, {2.5, 2.4}, {1.3, 2.4}}}},
    {'Q', 8, {{{3.2, 1.9}, {3.2, 4.4}, {2.5, 5.1}, {0.7, 5.1}, {0, 4.4}, {0, 0.7}, {0.7, 0},
      {1.3, 0}}}},
    {'Q', 2, {{{2, 1.3}, {3.2, 0}}}},
    {'R', 2, {{{0, 0}, {0, 5.1}}}},
    {'R', 6, {{{1.3, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 3.4}, {2.5, 2.7}, {1.3, 2.7}}}},
    {'R', 2, {{{2, 1.1}, {3.2, 0}}}},
    {'S', 14, {{{3.2, 4.1}, {3.2, 4.4}, {2.5, 5.1}, {0.7, 5.1}, {0, 4.4}, {0, 3.25},
      {0.7, 2.55}, {2.5, 2.55}, {3.2, 1.85}, {3.2, 0.7}, {2.5, 0}, {0.7, 0}, {0, 0.7}, {0, 1}}}},
    {'T', 2, {{{0, 5.1}, {3.2, 5.1}}}},
    {'T', 2, {{{1.6, 3.8}, {1.6, 0}}}},
    {'U', 6, {{{0, 5.1}, {0, 0.7}, {0.7, 0}, {2.5, 0}, {3.2, 0.7}, {3.2, 5.1}}}},
    {'V', 4, {{{0, 5.1}, {1.15, 0}, {2.05, 0}, {3.2, 5.1}}}},
    {'W', 6, {{{0, 5.1}, {0, 0.7}, {0.7, 0}, {2.5, 0}, {3.2, 0.7}, {3.2, 5.1}}}},
    {'W', 2, {{{1.6, 1.3}, {1.6, 4}}}},
    {'X', 3, {{{0, 5.1}, {0.9, 2.55}, {0, 0}}}},
    {'X', 3, {{{3.2, 5.1}, {2.3, 2.55}, {3.2, 0}}}},
    {'Y', 6, {{{0, 5.1}, {0, 3.4}, {0.7, 2.7}, {2.5, 2.7}, {3.2, 3.4}, {3.2, 5.1}}}},
    {'Y', 2, {{{1.6, 1.4}, {1.6, 0}}}},
    {'Z', 2, {{{0, 5.1}, {3.2, 5.1}}}},
    {'Z', 2, {{{0, 0}, {3.2, 0}}}},
    {'Z', 2, {{{2.1, 3.35}, {1.1, 1.75}}}},
    {'0', 6, {{{0.95, 5.1}, {0.7, 5.1}, {0, 4.4}, {0, 0.7}, {0.7, 0}, {0.95, 0}}}},
    {'0', 6, {{{2.25, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 0.7}, {2.5, 0}, {2.25, 0}}}},
    {'1', 3, {{{0.6, 4}, {1.6, 4.9}, {1.6, 0}}}},
    {'2', 9, {{{0, 4.1}, {0, 4.4}, {0.7, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 3.2}, {0, 1},
      {0, 0}, {3.2, 0}}}},
    {'3', 13, {{{0, 4.1}, {0, 4.4}, {0.7, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 3.15},
      {2.6, 2.55}, {3.2, 1.95}, {3.2, 0.7}, {2.5, 0}, {0.7, 0}, {0, 0.7}, {0, 1}}}},
    {'3', 2, {{{0.9, 2.55}, {1.1, 2.55}}}},
    {'4', 3, {{{0, 5.1}, {0, 2.2}, {1.2, 2.2}}}},
    {'4', 2, {{{2.5, 0}, {2.5, 5.1}}}},
    {'5', 10, {{{3.2, 5.1}, {0, 5.1}, {0, 2.9}, {2.5, 2.9}, {3.2, 2.2}, {3.2, 0.7}, {2.5, 0},
      {0.7, 0}, {0, 0.7}, {0, 0.9}}}},
    {'6', 12, {{{3.2, 4.2}, {3.2, 4.4}, {2.5, 5.1}, {0.7, 5.1}, {0, 4.4}, {0, 0.7}, {0.7, 0},
      {2.5, 0}, {3.2, 0.7}, {3.2, 2}, {2.5, 2.7}, {1.3, 2.7}}}},
    {'7', 4, {{{0, 5.1}, {3.2, 5.1}, {3.2, 4}, {1.3, 0}}}},
    {'8', 9, {{{2.25, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 3.15}, {2.6, 2.55}, {3.2, 1.95},
      {3.2, 0.7}, {2.5, 0}, {2.25, 0}}}},
    {'8', 9, {{{0.95, 5.1}, {0.7, 5.1}, {0, 4.4}, {0, 3.15}, {0.6, 2.55}, {0, 1.95}, {0, 0.7},
      {0.7, 0}, {0.95, 0}}}},
    {'9', 12, {{{0, 0.9}, {0, 0.7}, {0.7, 0}, {2.5, 0}, {3.2, 0.7}, {3.2, 4.4}, {2.5, 5.1},
      {0.7, 5.1}, {0, 4.4}, {0, 3.1}, {0.7, 2.4}, {1.9, 2.4}}}},
};
// clang-format on

Glyph glyph(char c) {
  Glyph lines;
  for (const Stroke& s : kStrokes) {
    if (s.glyph == c) lines.emplace_back(s.points.begin(), s.points.begin() + s.count);
  }
  return lines;
}

Vec2 left_of(Vec2 direction) {
  return {-direction.y, direction.x};
}

/// One side of a thick line, from its first point to its last: mitred, sharp corners cut off.
void add_side(const Line& line, Loop2& loop) {
  for (std::size_t i = 0; i < line.size(); ++i) {
    const Vec2 in = normalized(i > 0 ? line[i] - line[i - 1] : line[1] - line[0]);
    const Vec2 out = normalized(i + 1 < line.size() ? line[i + 1] - line[i] : in);
    if (i == 0) {
      loop.push_back(line[i] - in * kHalf - left_of(in) * kHalf);
    } else if (i + 1 == line.size()) {
      loop.push_back(line[i] + in * kHalf - left_of(in) * kHalf);
    } else if (dot(in, out) < -0.5 && cross(in, out) > 0) {  // a spike outside
      loop.push_back(line[i] - left_of(in) * kHalf + in * kHalf);
      loop.push_back(line[i] - left_of(out) * kHalf - out * kHalf);
    } else {
      const Vec2 middle = normalized(left_of(in) + left_of(out));
      loop.push_back(line[i] - middle * (kHalf / dot(middle, left_of(in))));
    }
  }
}

Loop2 thick(const Line& line) {
  Loop2 loop;
  add_side(line, loop);
  add_side(Line(line.rbegin(), line.rend()), loop);
  return loop;
}

double text_width(std::string_view text) {
  const double n = static_cast<double>(text.size());
  return n * kGlyphWidth + (n - 1) * kGlyphGap;
}

}  // namespace

double text_aspect_ratio(std::string_view text) {
  return text_width(text) / kGlyphHeight;
}

std::optional<std::vector<Loop2>> text_outlines(std::string_view text, double height_mm) {
  const double unit_mm = height_mm / kGlyphHeight;
  std::vector<Loop2> outlines;
  double left = kHalf - text_width(text) / 2;
  for (char c : text) {
    const Glyph strokes = glyph(c);
    if (strokes.empty()) return {};
    for (const Line& line : strokes) {
      Loop2 loop = thick(line);
      for (Vec2& p : loop) p = Vec2{p.x + left, p.y + kHalf - kGlyphHeight / 2} * unit_mm;
      if (loop_area_mm2(loop) < 0) std::reverse(loop.begin(), loop.end());
      outlines.push_back(std::move(loop));
    }
    left += kGlyphWidth + kGlyphGap;
  }
  return outlines;
}

}  // namespace seamwright::joints
