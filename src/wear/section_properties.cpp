#include "seamwright/wear/section_properties.h"

#include <vector>

#include "seamwright/core/result.h"

namespace seamwright {
namespace {

struct Sums {
  double area = 0, u = 0, v = 0, uu = 0, vv = 0, uv = 0;
};

/// Adds a loop's triangles to the origin; clockwise loops take away.
void add_loop(Sums& sums, const Loop2& loop, Vec2 origin) {
  for (std::size_t i = 0; i < loop.size(); ++i) {
    const Vec2 a = loop[i] - origin, b = loop[(i + 1) % loop.size()] - origin;
    const double twice = cross(a, b);
    sums.area += twice / 2;
    sums.u += twice * (a.x + b.x) / 6;
    sums.v += twice * (a.y + b.y) / 6;
    sums.uu += twice * (a.x * a.x + a.x * b.x + b.x * b.x) / 12;
    sums.vv += twice * (a.y * a.y + a.y * b.y + b.y * b.y) / 12;
    sums.uv += twice * (2 * a.x * a.y + a.x * b.y + b.x * a.y + 2 * b.x * b.y) / 24;
  }
}

template <class Visit>
void each_point(std::span<const Region2> regions, const Visit& visit) {
  for (const Region2& region : regions) {
    for (const Vec2 p : region.outer) visit(p);
    for (const Loop2& hole : region.holes) {
      for (const Vec2 p : hole) visit(p);
    }
  }
}

}  // namespace

SectionProperties section_properties(std::span<const Region2> regions) {
  if (regions.empty() || regions[0].outer.empty()) return {};
  const Vec2 origin = regions[0].outer[0];
  Sums sums;
  for (const Region2& region : regions) {
    add_loop(sums, region.outer, origin);
    for (const Loop2& hole : region.holes) add_loop(sums, hole, origin);
  }
  if (sums.area <= 0) return {};
  const Vec2 middle{sums.u / sums.area, sums.v / sums.area};
  return {sums.area, origin + middle, sums.vv - sums.area * middle.y * middle.y,
          sums.uu - sums.area * middle.x * middle.x, sums.uv - sums.area * middle.x * middle.y};
}

NormalStress normal_stress(std::span<const Region2> regions, const SectionProperties& section,
                           const SectionAction& action) {
  require(section.area_mm2 > 0, "a section has an area");
  // M_u = ∫ σ v dA and -M_v = ∫ σ u dA give α and β.
  const double det = section.i_vv_mm4 * section.i_uu_mm4 - section.i_uv_mm4 * section.i_uv_mm4;
  const double mu = action.moment_u_nmm, mv = -action.moment_v_nmm;
  const double alpha = det > 0 ? (mv * section.i_uu_mm4 - mu * section.i_uv_mm4) / det : 0;
  const double beta = det > 0 ? (mu * section.i_vv_mm4 - mv * section.i_uv_mm4) / det : 0;
  NormalStress stress{-Box3::kFar, Box3::kFar};
  each_point(regions, [&](Vec2 p) {
    const Vec2 d = p - section.centroid;
    const double at_mpa = action.pull_n / section.area_mm2 + alpha * d.x + beta * d.y;
    stress.most_mpa = std::max(stress.most_mpa, at_mpa);
    stress.least_mpa = std::min(stress.least_mpa, at_mpa);
  });
  return stress;
}

double section_modulus_u_mm3(std::span<const Region2> regions, const SectionProperties& section) {
  double farthest_mm = 0;
  each_point(regions, [&](Vec2 p) {
    farthest_mm = std::max(farthest_mm, std::abs(p.y - section.centroid.y));
  });
  return farthest_mm > 0 ? section.i_uu_mm4 / farthest_mm : 0;
}

}  // namespace seamwright
