#include "joints/glyphs.h"

#include <algorithm>

namespace seamwright::joints {
namespace {

using Line = std::vector<Vec2>;  // a stroke's middle, in a box 3.2 wide and 5.1 high
using Glyph = std::vector<Line>;

constexpr double kHalf = kStrokeWidth / 2;

// Strokes that would meet stop 1.3 apart, middle to end: 0.4 of plastic is left between them.
Glyph letter(char c) {
  switch (c) {
    case 'A':
      return {{{0, 0}, {0, 4.2}, {.9, 5.1}, {2.3, 5.1}, {3.2, 4.2}, {3.2, 0}},
              {{1.3, 2.2}, {1.9, 2.2}}};
    case 'B':
      return {{{0, 0}, {0, 5.1}},
              {{1.3, 5.1},
               {2.6, 5.1},
               {3.2, 4.5},
               {3.2, 3.15},
               {2.6, 2.55},
               {3.2, 1.95},
               {3.2, .6},
               {2.6, 0},
               {1.3, 0}}};
    case 'C':
      return {{{3.2, 4},
               {3.2, 4.4},
               {2.5, 5.1},
               {.7, 5.1},
               {0, 4.4},
               {0, .7},
               {.7, 0},
               {2.5, 0},
               {3.2, .7},
               {3.2, 1.1}}};
    case 'D':
      return {{{0, 0}, {0, 5.1}},
              {{1.3, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, .7}, {2.5, 0}, {1.3, 0}}};
    case 'E':
      return {{{3.2, 5.1}, {0, 5.1}, {0, 0}, {3.2, 0}}, {{1.3, 2.55}, {2.6, 2.55}}};
    case 'F':
      return {{{3.2, 5.1}, {0, 5.1}, {0, 0}}, {{1.3, 2.55}, {2.6, 2.55}}};
    case 'G':
      return {{{3.2, 4.1},
               {3.2, 4.4},
               {2.5, 5.1},
               {.7, 5.1},
               {0, 4.4},
               {0, .7},
               {.7, 0},
               {2.5, 0},
               {3.2, .7},
               {3.2, 2.4},
               {2, 2.4}}};
    case 'H':
      return {{{0, 0}, {0, 5.1}}, {{3.2, 0}, {3.2, 5.1}}, {{1.3, 2.55}, {1.9, 2.55}}};
    case 'I':
      return {{{1.6, 0}, {1.6, 5.1}}};
    case 'J':
      return {{{3.2, 5.1}, {3.2, .7}, {2.5, 0}, {.7, 0}, {0, .7}, {0, 1.4}}};
    case 'K':
      return {{{0, 0}, {0, 5.1}}, {{3.2, 5.1}, {1.45, 2.55}, {3.2, 0}}};
    case 'L':
      return {{{0, 5.1}, {0, 0}, {3.2, 0}}};
    case 'M':
      return {{{0, 0}, {0, 4.4}, {.7, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 0}},
              {{1.6, 3.8}, {1.6, 0}}};
    case 'N':
      return {{{0, 0}, {0, 5.1}}, {{3.2, 0}, {3.2, 5.1}}, {{1.3, 3.6}, {1.9, 1.5}}};
    case 'P':
      return {{{0, 0}, {0, 5.1}},
              {{1.3, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 3.1}, {2.5, 2.4}, {1.3, 2.4}}};
    case 'Q':
      return {{{3.2, 1.9}, {3.2, 4.4}, {2.5, 5.1}, {.7, 5.1}, {0, 4.4}, {0, .7}, {.7, 0}, {1.3, 0}},
              {{2, 1.3}, {3.2, 0}}};
    case 'R':
      return {{{0, 0}, {0, 5.1}},
              {{1.3, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, 3.4}, {2.5, 2.7}, {1.3, 2.7}},
              {{2, 1.1}, {3.2, 0}}};
    case 'S':
      return {{{3.2, 4.1},
               {3.2, 4.4},
               {2.5, 5.1},
               {.7, 5.1},
               {0, 4.4},
               {0, 3.25},
               {.7, 2.55},
               {2.5, 2.55},
               {3.2, 1.85},
               {3.2, .7},
               {2.5, 0},
               {.7, 0},
               {0, .7},
               {0, 1}}};
    case 'T':
      return {{{0, 5.1}, {3.2, 5.1}}, {{1.6, 3.8}, {1.6, 0}}};
    case 'U':
      return {{{0, 5.1}, {0, .7}, {.7, 0}, {2.5, 0}, {3.2, .7}, {3.2, 5.1}}};
    case 'V':
      return {{{0, 5.1}, {1.15, 0}, {2.05, 0}, {3.2, 5.1}}};
    case 'W':
      return {{{0, 5.1}, {0, .7}, {.7, 0}, {2.5, 0}, {3.2, .7}, {3.2, 5.1}},
              {{1.6, 1.3}, {1.6, 4}}};
    case 'X':
      return {{{0, 5.1}, {.9, 2.55}, {0, 0}}, {{3.2, 5.1}, {2.3, 2.55}, {3.2, 0}}};
    case 'Y':
      return {{{0, 5.1}, {0, 3.4}, {.7, 2.7}, {2.5, 2.7}, {3.2, 3.4}, {3.2, 5.1}},
              {{1.6, 1.4}, {1.6, 0}}};
    case 'Z':
      return {{{0, 5.1}, {3.2, 5.1}}, {{0, 0}, {3.2, 0}}, {{2.1, 3.35}, {1.1, 1.75}}};
    default:
      return {};
  }
}

Glyph figure(char c) {
  switch (c) {
    case '1':
      return {{{.6, 4}, {1.6, 4.9}, {1.6, 0}}};
    case '2':
      return {{{0, 4.1},
               {0, 4.4},
               {.7, 5.1},
               {2.5, 5.1},
               {3.2, 4.4},
               {3.2, 3.2},
               {0, 1},
               {0, 0},
               {3.2, 0}}};
    case '3':
      return {{{0, 4.1},
               {0, 4.4},
               {.7, 5.1},
               {2.5, 5.1},
               {3.2, 4.4},
               {3.2, 3.15},
               {2.6, 2.55},
               {3.2, 1.95},
               {3.2, .7},
               {2.5, 0},
               {.7, 0},
               {0, .7},
               {0, 1}},
              {{.9, 2.55}, {1.1, 2.55}}};
    case '4':
      return {{{0, 5.1}, {0, 2.2}, {1.2, 2.2}}, {{2.5, 0}, {2.5, 5.1}}};
    case '5':
      return {{{3.2, 5.1},
               {0, 5.1},
               {0, 2.9},
               {2.5, 2.9},
               {3.2, 2.2},
               {3.2, .7},
               {2.5, 0},
               {.7, 0},
               {0, .7},
               {0, .9}}};
    case '6':
      return {{{3.2, 4.2},
               {3.2, 4.4},
               {2.5, 5.1},
               {.7, 5.1},
               {0, 4.4},
               {0, .7},
               {.7, 0},
               {2.5, 0},
               {3.2, .7},
               {3.2, 2},
               {2.5, 2.7},
               {1.3, 2.7}}};
    case '7':
      return {{{0, 5.1}, {3.2, 5.1}, {3.2, 4}, {1.3, 0}}};
    case '8':
      return {{{2.25, 5.1},
               {2.5, 5.1},
               {3.2, 4.4},
               {3.2, 3.15},
               {2.6, 2.55},
               {3.2, 1.95},
               {3.2, .7},
               {2.5, 0},
               {2.25, 0}},
              {{.95, 5.1},
               {.7, 5.1},
               {0, 4.4},
               {0, 3.15},
               {.6, 2.55},
               {0, 1.95},
               {0, .7},
               {.7, 0},
               {.95, 0}}};
    case '9':
      return {{{0, .9},
               {0, .7},
               {.7, 0},
               {2.5, 0},
               {3.2, .7},
               {3.2, 4.4},
               {2.5, 5.1},
               {.7, 5.1},
               {0, 4.4},
               {0, 3.1},
               {.7, 2.4},
               {1.9, 2.4}}};
    default:
      return {};
  }
}

Glyph glyph(char c) {
  if (c == 'O' || c == '0') {  // left and right halves
    return {{{.95, 5.1}, {.7, 5.1}, {0, 4.4}, {0, .7}, {.7, 0}, {.95, 0}},
            {{2.25, 5.1}, {2.5, 5.1}, {3.2, 4.4}, {3.2, .7}, {2.5, 0}, {2.25, 0}}};
  }
  return c >= '0' && c <= '9' ? figure(c) : letter(c);
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
