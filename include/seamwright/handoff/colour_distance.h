#pragma once

#include <array>

#include "seamwright/handoff/picture.h"

namespace seamwright {

/// A colour by how it looks: its value (lightness) 0…100, red over green, yellow over blue (L*a*b*,
/// white D65).
struct LabColour {
  double value = 0, red = 0, yellow = 0;
};
/// Source: IEC 61966-2-1 (sRGB), ISO/CIE 11664-4 (L*a*b*).
LabColour lab_of(Colour colour);

/// How differently two colours look, CIEDE2000: 1 is just seen side by side, over 10 at a glance.
/// Source: G. Sharma, W. Wu, E. N. Dalal, "The CIEDE2000 Color-Difference Formula", Color Research
/// and Application 30 (2005), equations 2 to 22.
double colour_distance(const LabColour& a, const LabColour& b);

/// Eyes without one of the three kinds of cones, and common ones.
enum class Eyes { common, no_red, no_green, no_blue };
inline constexpr std::array kEyes{Eyes::common, Eyes::no_red, Eyes::no_green, Eyes::no_blue};

/// What such eyes see of a colour. Source: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A
/// Physiologically-based Model for Simulation of Color Vision Deficiency", IEEE Transactions on
/// Visualization and Computer Graphics 15 (2009), matrices for severity 1.
Colour seen_by(Eyes eyes, Colour colour);

}  // namespace seamwright
