#pragma once

#include <span>
#include <vector>

#include "seamwright/core/vec.h"
#include "seamwright/mesh/solid.h"

namespace seamwright::wiring_detail {

/// A wire's centre line: points about `step_mm` apart and the unit tangent at each.
struct Way {
  std::vector<Vec3> points, tangents;
};

/// A smooth curve through all points in order (centripetal Catmull–Rom, which neither loops nor
/// overshoots between points), lengthened straight by `beyond_mm` at both ends. Source: Yuksel,
/// Schaefer, Keyser, Computer-Aided Design 43 (2011) (memory).
Way smooth_way(std::span<const Vec3> through, double step_mm, double beyond_mm);

double length_mm(const Way& way);
/// Least radius of the circles through three neighbouring samples; infinite when straight.
double least_bend_mm(const Way& way);

/// A closed tube along the way: rings of circumscribed polygons in frames that don't twist (double
/// reflection), flat ends. Origin {channel, channel}. Source: Wang, Jüttler, Zheng, Liu, ACM Trans.
/// Graph. 27 (2008) (memory).
Solid tube_along(const Way& way, double diameter_mm, std::uint32_t channel);

}  // namespace seamwright::wiring_detail
