#pragma once

#include <polyclipping/clipper.hpp>

#include "seamwright/core/region.h"

// Flat figures as the polygon clipper takes them: integers, a millionth of a millimetre each.

namespace seamwright::joints {

inline constexpr double kPathUnits_per_mm = 1e6;

ClipperLib::Path path_of(const Loop2& loop);
ClipperLib::Paths paths_of(const Region2& region);
Loop2 loop_of(const ClipperLib::Path& path);
double area_mm2(const ClipperLib::Path& path);
double area_mm2(const ClipperLib::Paths& paths);

/// Grown by `by_mm`, or shrunk: corners kept sharp up to a mitre of 3, or rounded to 0.01 mm.
ClipperLib::Paths mitred_offset(const ClipperLib::Paths& paths, double by_mm);
ClipperLib::Paths rounded_offset(const ClipperLib::Paths& paths, double by_mm);

/// Both by the non-zero rule; the results' loops do not touch themselves.
ClipperLib::Paths combined(ClipperLib::ClipType how, const ClipperLib::Paths& a,
                           const ClipperLib::Paths& b);
/// Without edges shorter than this, simple again.
ClipperLib::Paths cleaned(ClipperLib::Paths paths, double shortest_mm);

}  // namespace seamwright::joints
