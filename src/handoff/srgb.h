#pragma once

#include <algorithm>
#include <cmath>

#include "seamwright/handoff/picture.h"

namespace seamwright {

/// Light of a screen's colour, 0…1 a channel, and back, rounded. Source: IEC 61966-2-1 (sRGB).
inline Vec3 to_linear(Colour colour) {
  const auto channel = [](std::uint8_t value) {
    const double s = value / 255.0;
    return s <= 0.04045 ? s / 12.92 : std::pow((s + 0.055) / 1.055, 2.4);
  };
  return {channel(colour.red), channel(colour.green), channel(colour.blue)};
}
inline Colour to_srgb(Vec3 light) {
  const auto channel = [](double linear) {
    const double x = std::clamp(linear, 0.0, 1.0);
    const double s = x <= 0.0031308 ? 12.92 * x : 1.055 * std::pow(x, 1 / 2.4) - 0.055;
    return static_cast<std::uint8_t>(std::lround(255 * s));
  };
  return {channel(light.x), channel(light.y), channel(light.z)};
}

}  // namespace seamwright
