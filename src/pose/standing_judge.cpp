#include "pose/standing_judge.h"

#include <algorithm>

namespace seamwright::pose_detail {
namespace {

constexpr double kSheet_mm = 8;

/// Where the ray from `from` along `along` meets a triangle, by Möller and Trumbore; far when not.
double meets_at(Vec3 a, Vec3 b, Vec3 c, Vec3 from, Vec3 along) {
  constexpr double kFar = std::numeric_limits<double>::infinity();
  const Vec3 ab = b - a, ac = c - a, p = cross(along, ac);
  const double det = dot(ab, p);
  if (det == 0) return kFar;
  const Vec3 s = from - a;
  const double u = dot(s, p) / det;
  if (u < 0 || u > 1) return kFar;
  const Vec3 q = cross(s, ab);
  const double v = dot(along, q) / det;
  if (v < 0 || u + v > 1) return kFar;
  return dot(ac, q) / det;
}

/// From the middle of a face straight inward to the nearest face that looks the other way.
double thickness_behind(const SolidFacts& facts, std::size_t face) {
  const auto [a, b, c] = facts.solid->corners(to_id<FaceId>(face));
  const Vec3 from = (a + b + c) / 3;
  const Vec3 inward = facts.area_normals[face] / -facts.double_areas[face];
  double nearest = std::numeric_limits<double>::infinity();
  for (std::size_t f = 0; f < facts.area_normals.size(); ++f) {
    if (dot(facts.area_normals[f], inward) <= 0) continue;
    const auto [p, q, r] = facts.solid->corners(to_id<FaceId>(f));
    const double at = meets_at(p, q, r, from, inward);
    if (at > 0) nearest = std::min(nearest, at);
  }
  return nearest;
}

/// Mean thickness small, and the sheet at least six times as wide as thick (a square bar has four).
bool looks_like_sheet(const SolidFacts& facts) {
  const double thickness_mm = 2 * facts.volume_mm3 / facts.area_mm2;
  const double length_mm = norm(facts.solid->box().size());
  return thickness_mm < kSheet_mm && facts.area_mm2 / 2 >= 6 * thickness_mm * length_mm;
}

}  // namespace

double median_thickness_mm(const SolidFacts& facts) {
  constexpr std::size_t kSamples = 24;
  const double share = 2 * facts.area_mm2 / kSamples;
  std::vector<double> found;
  double passed = 0, next = share / 2;
  for (std::size_t f = 0; f < facts.double_areas.size(); ++f) {
    passed += facts.double_areas[f];
    if (passed < next) continue;
    const double thickness_mm = thickness_behind(facts, f);
    while (next <= passed && found.size() < kSamples) {
      found.push_back(thickness_mm);
      next += share;
    }
  }
  std::nth_element(found.begin(), found.begin() + kSamples / 2, found.end());
  return found[kSamples / 2];
}

Misfit StandingJudge::graded(const Footing& footing, Foot foot, double excess_mm,
                             bool as_sheet) const {
  const double tip_deg = (as_sheet ? rules_.sheet_tip : rules_.least_tip).degrees();
  const double slender = as_sheet ? rules_.sheet_slender_ratio : rules_.most_slender_ratio;
  const double contact_mm2 =
      footing.contact_mm2 + (foot == Foot::supports ? footing.propped_mm2 : 0);
  return {std::max(excess_mm, 0.0), std::max(tip_deg - footing.tip_angle.degrees(), 0.0),
          std::max(rules_.least_contact_mm2 - contact_mm2, 0.0),
          std::max(footing.slenderness_ratio - slender, 0.0)};
}

bool StandingJudge::is_sheet() {
  if (!is_sheet_) is_sheet_ = median_thickness_mm(facts_) < kSheet_mm;
  return *is_sheet_;
}

Misfit StandingJudge::misfit(const Footing& footing, Foot foot, double excess_mm) {
  const Misfit strict = graded(footing, foot, excess_mm, false);
  if (strict.is_none() || !looks_like_sheet(facts_)) return strict;
  const Misfit lax = graded(footing, foot, excess_mm, true);
  return lax.is_none() && !is_sheet() ? strict : lax;
}

}  // namespace seamwright::pose_detail
