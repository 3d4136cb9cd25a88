#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "seamwright/core/region.h"

namespace seamwright::joints {

/// Letters A–Z, figures 0–9 and arrows (^ v < > and, between them, / \ [ ]) as stencil strokes of
/// our own drawing: each stroke one simple polygon, none enclosing another, none touching, so that
/// a mark is a few prisms and no counter falls out. Units of a sixth of the letters' height: a
/// glyph is 4.1 wide and 6 high, a space 1.
inline constexpr double kGlyphWidth = 4.1, kSpaceWidth = 1, kGlyphHeight = 6, kGlyphGap = 1.1,
                        kStrokeWidth = 0.9, kGlyphOver = 0.2;

/// The width of a text over its height.
double text_aspect_ratio(std::string_view text);

/// The strokes of a text, counter-clockwise, centred on the origin, reading along +x, upright along
/// +y. Nothing when a character has no glyph.
std::optional<std::vector<Loop2>> text_outlines(std::string_view text, double height_mm);

}  // namespace seamwright::joints
