#include "handoff/picture_lines.h"

#include <cmath>
#include <map>
#include <tuple>

namespace seamwright {
namespace {

constexpr double kStepPixels = 1.5;  ///< lines are tested for being hidden this often

double linear_of(std::uint8_t value) {
  return std::pow(value / 255.0, 2.2);
}

/// Full width in pixels on a picture 1000 pixels wide.
double weight_pixels(LineWeight weight) {
  switch (weight) {
    case LineWeight::hair:
      return 0.8;
    case LineWeight::thin:
      return 1.3;
    case LineWeight::medium:
      return 2.2;
  }
  throw std::logic_error("broken contract: no such LineWeight");
}

/// How much of each pixel lines of one kind cover.
class Coverage {
 public:
  Coverage(PictureSize size, double width)
      : size_(size), half_(width / 2), shares_(pixel_count(), 0.0F) {}

  void add(Vec2 a, Vec2 b) {
    const double reach = half_ + 1;
    const int x0 = clamped(std::min(a.x, b.x) - reach, size_.width),
              x1 = clamped(std::max(a.x, b.x) + reach, size_.width);
    const int y0 = clamped(std::min(a.y, b.y) - reach, size_.height),
              y1 = clamped(std::max(a.y, b.y) + reach, size_.height);
    for (int y = y0; y <= y1; ++y) {
      for (int x = x0; x <= x1; ++x) {
        const double share = std::clamp(half_ + 0.5 - distance(a, b, {x + 0.5, y + 0.5}), 0.0, 1.0);
        float& old = shares_[static_cast<std::size_t>(y * size_.width + x)];
        old = std::max(old, static_cast<float>(share * std::min(1.0, 2 * half_)));
      }
    }
  }

  void paint(Vec3 colour, std::vector<Vec3>& colours) const {
    for (std::size_t i = 0; i < shares_.size(); ++i) {
      if (shares_[i] > 0)
        colours[i] = colours[i] + (colour - colours[i]) * static_cast<double>(shares_[i]);
    }
  }

 private:
  std::size_t pixel_count() const {
    return static_cast<std::size_t>(size_.width) * static_cast<std::size_t>(size_.height);
  }
  static int clamped(double value, int count) {
    return static_cast<int>(std::clamp(value, 0.0, count - 1.0));
  }
  static double distance(Vec2 a, Vec2 b, Vec2 p) {
    const Vec2 along = b - a;
    const double length2 = dot(along, along);
    const double t = length2 > 0 ? std::clamp(dot(p - a, along) / length2, 0.0, 1.0) : 0.0;
    return norm(p - (a + along * t));
  }

  PictureSize size_;
  double half_;
  std::vector<float> shares_;
};

void add_line(const PictureLine& line, const ViewFrame& frame,
              const std::function<bool(Vec3)>& is_hidden, Coverage& coverage) {
  const auto a = frame.pixel(line.from), b = frame.pixel(line.to);
  if (!a || !b) return;
  const double length = norm(*b - *a);
  const int steps = std::clamp(static_cast<int>(std::ceil(length / kStepPixels)), 1, 4000);
  for (int i = 0; i < steps; ++i) {
    const double middle = (i + 0.5) / steps;
    if (is_hidden(line.from + (line.to - line.from) * middle)) continue;
    const auto at = [&](double t) {
      return frame.pixel(line.from + (line.to - line.from) * t).value_or(*a);
    };
    coverage.add(at(static_cast<double>(i) / steps), at((i + 1.0) / steps));
  }
}

}  // namespace

void draw_lines(std::span<const PictureLine> lines, const ViewFrame& frame, PictureSize size,
                const std::function<bool(Vec3)>& is_hidden, std::vector<Vec3>& colours) {
  using Style = std::tuple<LineWeight, std::uint8_t, std::uint8_t, std::uint8_t>;
  std::map<Style, std::vector<const PictureLine*>> by_style;
  for (const PictureLine& line : lines) {
    by_style[{line.weight, line.colour.red, line.colour.green, line.colour.blue}].push_back(&line);
  }
  for (const auto& [style, members] : by_style) {
    Coverage coverage(size, weight_pixels(std::get<0>(style)) * std::max(0.8, size.width / 1000.0));
    for (const PictureLine* line : members) add_line(*line, frame, is_hidden, coverage);
    coverage.paint({linear_of(std::get<1>(style)), linear_of(std::get<2>(style)),
                    linear_of(std::get<3>(style))},
                   colours);
  }
}

}  // namespace seamwright
