#include "seamwright/handoff/colour_distance.h"

#include <cmath>
#include <numbers>

#include "handoff/srgb.h"

namespace seamwright {
namespace {

constexpr double kPi = std::numbers::pi;

double lab_root(double x) {
  return x > 216.0 / 24389 ? std::cbrt(x) : (24389.0 / 27 * x + 16) / 116;
}

/// Hue as an angle, 0 … 2π; 0 for grey.
double hue(double red, double yellow) {
  if (red == 0 && yellow == 0) return 0;
  const double angle = std::atan2(yellow, red);
  return angle < 0 ? angle + 2 * kPi : angle;
}

/// √(c⁷ / (c⁷ + 25⁷)), which is near 0 for greys and near 1 for strong colours.
double chroma_share(double chroma) {
  const double power = std::pow(chroma, 7);
  return std::sqrt(power / (power + 6103515625.0));
}

double difference_of_hues(double from, double to) {
  const double turn = to - from;
  if (turn > kPi) return turn - 2 * kPi;
  return turn < -kPi ? turn + 2 * kPi : turn;
}

double mean_of_hues(double a, double b, bool is_grey) {
  if (is_grey) return a + b;
  if (std::abs(a - b) <= kPi) return (a + b) / 2;
  return a + b < 2 * kPi ? (a + b) / 2 + kPi : (a + b) / 2 - kPi;
}

}  // namespace

LabColour lab_of(Colour colour) {
  const Vec3 c = to_linear(colour);
  const double x = (0.4124564 * c.x + 0.3575761 * c.y + 0.1804375 * c.z) / 0.95047;
  const double y = 0.2126729 * c.x + 0.7151522 * c.y + 0.0721750 * c.z;
  const double z = (0.0193339 * c.x + 0.1191920 * c.y + 0.9503041 * c.z) / 1.08883;
  const double fx = lab_root(x), fy = lab_root(y), fz = lab_root(z);
  return {116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)};
}

double colour_distance(const LabColour& a, const LabColour& b) {
  const double stretch =
      1.5 - 0.5 * chroma_share((std::hypot(a.red, a.yellow) + std::hypot(b.red, b.yellow)) / 2);
  const double red_a = a.red * stretch, red_b = b.red * stretch;
  const double chroma_a = std::hypot(red_a, a.yellow), chroma_b = std::hypot(red_b, b.yellow);
  const bool is_grey = chroma_a * chroma_b == 0;
  const double hue_a = hue(red_a, a.yellow), hue_b = hue(red_b, b.yellow);
  const double hue_turn = is_grey ? 0 : difference_of_hues(hue_a, hue_b);
  const double hue_step = 2 * std::sqrt(chroma_a * chroma_b) * std::sin(hue_turn / 2);

  const double chroma = (chroma_a + chroma_b) / 2, mean = mean_of_hues(hue_a, hue_b, is_grey);
  const double t = 1 - 0.17 * std::cos(mean - kPi / 6) + 0.24 * std::cos(2 * mean) +
                   0.32 * std::cos(3 * mean + kPi / 30) - 0.20 * std::cos(4 * mean - 0.35 * kPi);
  const double from_50 = (a.value + b.value) / 2 - 50;
  const double light =
      (b.value - a.value) / (1 + 0.015 * from_50 * from_50 / std::sqrt(20 + from_50 * from_50));
  const double strong = (chroma_b - chroma_a) / (1 + 0.045 * chroma);
  const double tinted = hue_step / (1 + 0.015 * chroma * t);
  const double blue = (mean * 180 / kPi - 275) / 25;
  const double turn = -2 * chroma_share(chroma) * std::sin(kPi / 3 * std::exp(-blue * blue));
  return std::sqrt(light * light + strong * strong + tinted * tinted + turn * strong * tinted);
}

Colour seen_by(Eyes eyes, Colour colour) {
  const Vec3 c = to_linear(colour);
  switch (eyes) {
    case Eyes::no_red:
      return to_srgb({dot(c, {0.152286, 1.052583, -0.204868}),
                      dot(c, {0.114503, 0.786281, 0.099216}),
                      dot(c, {-0.003882, -0.048116, 1.051998})});
    case Eyes::no_green:
      return to_srgb({dot(c, {0.367322, 0.860646, -0.227968}),
                      dot(c, {0.280085, 0.672501, 0.047413}),
                      dot(c, {-0.011820, 0.042940, 0.968881})});
    case Eyes::no_blue:
      return to_srgb({dot(c, {1.255528, -0.076749, -0.178779}),
                      dot(c, {-0.078411, 0.930809, 0.147602}),
                      dot(c, {0.004733, 0.691367, 0.303900})});
    case Eyes::common:
      break;
  }
  return colour;
}

}  // namespace seamwright
