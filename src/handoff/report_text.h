#pragma once

#include <string>
#include <string_view>

#include "seamwright/core/vec.h"
#include "seamwright/handoff/picture.h"

namespace seamwright::text {

/// Safe inside HTML text and quoted attributes; control characters are dropped.
std::string escaped(std::string_view plain);

/// "45 min", "3 h 20 min", "58 h": as fine as a maker plans by.
std::string duration(double seconds);
/// "3.4": hours with one decimal, whole from 20.
std::string hours(double hours_value);
/// "84 g", "1.93 kg".
std::string mass(double grams);
/// "640 × 460 × 190 mm", whole millimetres.
std::string size(Vec3 size_mm);
/// "12.3 cm", "1.24 m".
std::string length(double mm);
/// "9 pieces", "1 piece".
std::string counted(std::size_t count, std::string_view one, std::string_view many);
/// "#8d6a9f"
std::string hex(Colour colour);
std::string base64(std::string_view bytes);

}  // namespace seamwright::text
