#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "seamwright/profile/material.h"
#include "seamwright/profile/print_settings.h"
#include "seamwright/profile/printer.h"

namespace seamwright {

/// The generic machines that have a name: "small" (a cube of 180), "mid" (220 × 220 × 250), "tall"
/// (200 × 200 × 400), "round" (a round bed of 240, 300 high). Assumptions all.
inline constexpr std::array<std::string_view, 4> kPrinterPresets{"small", "mid", "tall", "round"};

/// The machine of that name, or nothing.
std::optional<Printer> preset_printer(std::string_view name);

/// The printer driven slowly (50 mm/s, 500 mm/s²) or fast (walls 150, fill 200 mm/s, 5000 mm/s²,
/// short retractions, 12 mm³/s). Source: PRINTING's defaults, assumptions. Changes nothing but
/// motion.
Printer with_motion(Printer printer, Motion motion);

/// What a printer's own speeds and flow limit make of the settings all printers share.
PrintSettings settings_on(const Printer& printer, PrintSettings print);
Material material_on(const Printer& printer, Material material);

/// A box in which anything may stand.
struct ClearBox {
  Vec3 size_mm;
  Vec2 corner_mm;  ///< its low corner, from the corner of the printer's whole room
};

/// The boxes a piece may fit in, the largest first, margins kept: one on a plain bed; beside
/// blocked corners one for each way of keeping out of them; in a round bed rectangles inscribed in
/// the circle, from the square to a strip. None lies within another. A piece that fits one of them
/// stands clear; one that fits only across them is refused though it might just go.
std::vector<ClearBox> clear_boxes(const Printer& printer);

/// The first box that holds a piece of this size, or nothing.
std::optional<std::size_t> box_that_holds(const std::vector<ClearBox>& boxes, Vec3 size_mm);

}  // namespace seamwright
