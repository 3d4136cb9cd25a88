#pragma once

#include <polyclipping/clipper.hpp>
#include <vector>

#include "seamwright/core/region.h"

namespace seamwright::flat {

/// Flat regions as the offsets want them: whole 1e-4 mm, outer loops counter-clockwise, holes
/// clockwise, none crossing.
using ClipperLib::IntPoint;
using ClipperLib::Path;
using ClipperLib::Paths;
inline constexpr double kUnitsPerMm = 1e4;

inline Vec2 to_mm(const IntPoint& p) {
  return {static_cast<double>(p.X) / kUnitsPerMm, static_cast<double>(p.Y) / kUnitsPerMm};
}
Loop2 to_mm(const Path& path);
Path from_mm(const Loop2& loop);

/// The loop with every point kept that lies more than `tolerance_mm` off the line without it
/// (Douglas and Peucker, from the two points farthest apart in order). Keeps three points at least.
Loop2 simplified(const Loop2& loop, double tolerance_mm);

double area_mm2(const Paths& region);
double perimeter_mm(const Paths& region);

/// All points within `by_mm` of the region (mitred corners); shrunk when negative.
Paths grown(const Paths& region, double by_mm);
/// What is left after shrinking and growing again: parts narrower than 2 × by_mm go.
Paths opened(const Paths& region, double by_mm);

/// The union with positive winding: shells that overlap count once, inside-out ones not at all.
Paths united(const Paths& loops);
Paths minus(const Paths& region, const Paths& taken);
Paths common(const Paths& a, const Paths& b);

/// Whether a point lies in the region or on its edge.
bool contains(const Paths& region, Vec2 p);

/// The connected parts, each an outer loop followed by its holes.
std::vector<Paths> islands(const Paths& region);
/// islands(minus(region, taken)) in one sweep.
std::vector<Paths> islands_minus(const Paths& region, const Paths& taken);

}  // namespace seamwright::flat
