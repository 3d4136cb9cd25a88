#pragma once

#include <span>

#include "seamwright/core/region.h"

namespace seamwright {

/// Area and second moments of flat regions taken as one section, in their plane's (u, v): about the
/// centroid, `i_uu_mm4` is ∫ v² dA (bending about the u axis), `i_vv_mm4` ∫ u² dA, `i_uv_mm4`
/// ∫ u v dA.
struct SectionProperties {
  double area_mm2 = 0;
  Vec2 centroid;
  double i_uu_mm4 = 0, i_vv_mm4 = 0, i_uv_mm4 = 0;
};

/// Exact for polygons (Green's theorem edge by edge, about the first point). O(n).
SectionProperties section_properties(std::span<const Region2> regions);

/// What acts on a section at its centroid: pull along the normal, bending about u and v, both by
/// the right hand.
struct SectionAction {
  double pull_n = 0;
  double moment_u_nmm = 0, moment_v_nmm = 0;
};
/// Greatest and least stress along the normal over the section's outline; pull is positive.
struct NormalStress {
  double most_mpa = 0, least_mpa = 0;
};

/// By N/A and skew bending: σ = N/A + α u + β v with α, β from both moments. Requires a section
/// with an area. Source: Roark, section 8.1 (memory). O(n).
NormalStress normal_stress(std::span<const Region2> regions, const SectionProperties& section,
                           const SectionAction& action);

/// Least section modulus for bending about the u axis: ∫ v² dA over the farthest v.
double section_modulus_u_mm3(std::span<const Region2> regions, const SectionProperties& section);

/// Sag of a cantilever's tip under a force there: F L³ / 3 E I. Source: Roark table 8.1 case 1a
/// (memory).
constexpr double tip_sag_mm(double force_n, double length_mm, double modulus_mpa, double i_mm4) {
  return force_n * length_mm * length_mm * length_mm / (3 * modulus_mpa * i_mm4);
}

}  // namespace seamwright
