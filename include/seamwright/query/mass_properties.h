#pragma once

#include <array>

#include "seamwright/mesh/solid.h"

namespace seamwright {

/// Of a body of density 1. `moments_mm5` is the symmetric matrix of second moments about the
/// centroid (xx, yy, zz, xy, yz, zx of ∫ x xᵀ dV).
struct MassProperties {
  double volume_mm3 = 0;
  double area_mm2 = 0;
  Vec3 centroid;
  std::array<double, 6> moments_mm5{};
};

/// Volume, area, centroid and second moments by the divergence theorem, summed about the box centre
/// with compensation so that the volumes of a cut solid's halves add up to 1e-12. O(n).
/// Source: Mirtich, J. Graphics Tools 1(2) (1996) (memory).
MassProperties mass_properties(const Solid& solid);

/// Volume alone, by the same sum. O(n).
double volume_mm3(const Solid& solid);

}  // namespace seamwright
