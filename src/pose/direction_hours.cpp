#include "pose/direction_hours.h"

#include <algorithm>
#include <cmath>

#include "seamwright/query/hull.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {

namespace pose_detail {
namespace {

constexpr double kSteepestStep = 0.819152;  // cos 35°: steeper skin shows no steps
constexpr double kFlat = 0.99995;           // flatter skin has none
// PLA, across layers 26 MPa against 48 in plane: a printer maker's data sheet (CHECKS.md).
constexpr double kAcrossLayersLost = 1 - 26.0 / 48.0;
constexpr double kUsualFoot_mm = 200;  // a foot this long lifts, by the material's ratio
constexpr double kTipsFrom = 3;        // slenderness from which a print begins to wobble

/// The unit eigenvectors of a symmetric matrix, by cyclic Jacobi turns.
std::array<Vec3, 3> eigenvectors(std::array<Vec3, 3> m) {
  std::array<Vec3, 3> axes{Vec3{1, 0, 0}, Vec3{0, 1, 0}, Vec3{0, 0, 1}};  // as columns' rows
  for (int sweep = 0; sweep < 24; ++sweep) {
    for (std::size_t p = 0; p < 2; ++p) {
      for (std::size_t q = p + 1; q < 3; ++q) {
        if (std::abs(m[p][q]) < 1e-300) continue;
        const double turn = std::atan2(2 * m[p][q], m[q][q] - m[p][p]) / 2;
        const double c = std::cos(turn), s = std::sin(turn);
        for (std::size_t k = 0; k < 3; ++k) {
          const double kp = m[k][p], kq = m[k][q];
          m[k][p] = c * kp - s * kq;
          m[k][q] = s * kp + c * kq;
        }
        for (std::size_t k = 0; k < 3; ++k) {
          const double pk = m[p][k], qk = m[q][k];
          m[p][k] = c * pk - s * qk;
          m[q][k] = s * pk + c * qk;
        }
        const Vec3 ap = axes[p], aq = axes[q];
        axes[p] = ap * c - aq * s;
        axes[q] = ap * s + aq * c;
      }
    }
  }
  return axes;
}

}  // namespace

std::array<Vec3, 3> principal_axes(const Solid& solid) {
  const auto m = mass_properties(solid).moments_mm5;
  return eigenvectors({Vec3{m[0], m[3], m[5]}, Vec3{m[3], m[1], m[4]}, Vec3{m[5], m[4], m[2]}});
}

HourCounter::HourCounter(const SolidFacts& facts, const DirectionSetting& setting)
    : facts_(facts),
      setting_(setting),
      support_cosine_(std::cos(setting.rules.support_from.radians())) {
  require(setting.face_sight.empty() || setting.face_sight.size() == facts.double_areas.size(),
          "one sight a face");
}

DirectionHours HourCounter::of(const Pose& pose, Vec3 down) const {
  DirectionHours hours;
  hours.support_h = setting_.cost.support_h_per_cm2 * pose.support_mm2 / 100;
  add_skin(down, hours);
  hours.weakness_h = weakness_h(down);
  hours.warping_h = warping_h(pose);
  const double slender = std::max(0.0, pose.slenderness_ratio - kTipsFrom);
  hours.tipping_h = setting_.cost.failure_h * std::min(1.0, 0.05 * slender * slender);
  return hours;
}

/// Scars where support touches skin that is seen, steps where it is shallow.
void HourCounter::add_skin(Vec3 down, DirectionHours& hours) const {
  double bed_mm = -std::numeric_limits<double>::infinity();
  for (const Vec3 p : facts_.solid->points()) bed_mm = std::max(bed_mm, dot(down, p));
  double scarred_mm2 = 0, stepped_mm2 = 0;
  for (std::size_t f = 0; f < facts_.double_areas.size(); ++f) {
    if (facts_.solid->origins()[f].kind != OriginKind::skin || facts_.double_areas[f] == 0)
      continue;
    const double facing = dot(facts_.area_normals[f], down) / facts_.double_areas[f];
    const double area_mm2 = facts_.double_areas[f] / 2 * sight(f);
    const double level_mm = dot(down, facts_.solid->point(facts_.solid->triangles()[f][0]));
    const bool is_on_bed = facing > kFlat && bed_mm - level_mm <= kContactReach_mm;
    if (facing > support_cosine_ && !is_on_bed) scarred_mm2 += area_mm2;
    const double shallow = std::abs(facing);
    if (shallow > kSteepestStep && shallow < kFlat)
      stepped_mm2 += area_mm2 * (shallow - kSteepestStep) / (1 - kSteepestStep);
  }
  hours.scars_h = setting_.cost.scar_h_per_cm2 * scarred_mm2 / 100;
  hours.steps_h = setting_.cost.step_h_per_cm2 * stepped_mm2 / 100;
}

/// A joint is pulled apart along its normal: bad when that is the way the layers are stacked.
double HourCounter::weakness_h(Vec3 down) const {
  double joint_area = 0, across = 0;
  for (std::size_t f = 0; f < facts_.double_areas.size(); ++f) {
    if (facts_.solid->origins()[f].kind != OriginKind::cap || facts_.double_areas[f] == 0) continue;
    const double along = dot(facts_.area_normals[f], down) / facts_.double_areas[f];
    joint_area += facts_.double_areas[f];
    across += facts_.double_areas[f] * along * along;
  }
  if (joint_area == 0) return 0;
  return setting_.cost.weak_joint_h * kAcrossLayersLost * across / joint_area;
}

double HourCounter::warping_h(const Pose& pose) const {
  if (setting_.warp_ratio <= 0 || pose.contact_mm2 <= 0) return 0;
  const std::vector<Vec2> sharp = sharp_foot_corners(*facts_.solid, pose.bed_from_part);
  const double long_mm = std::sqrt(pose.contact_mm2);
  const double lift = std::min(4.0, (long_mm / kUsualFoot_mm) * (long_mm / kUsualFoot_mm));
  return setting_.cost.warped_foot_h * setting_.warp_ratio * lift *
         (1 + 0.25 * static_cast<double>(std::min<std::size_t>(sharp.size(), 8)));
}

}  // namespace pose_detail

std::vector<Vec2> sharp_foot_corners(const Solid& solid, const Transform& bed_from_part) {
  constexpr double kSharp = -0.17364818;  // cos 100°
  constexpr double kNear_mm = 2;          // corners this close count as one, however rounded
  std::vector<Vec2> touching;
  for (const Vec3 p : solid.points()) {
    const Vec3 q = bed_from_part.apply(p);
    if (q.z <= pose_detail::kContactReach_mm) touching.push_back({q.x, q.y});
  }
  std::vector<Vec2> hull, sharp;
  for (const Vec2 p : convex_hull(std::move(touching))) {
    if (hull.empty() || (norm(p - hull.back()) > kNear_mm && norm(p - hull.front()) > kNear_mm))
      hull.push_back(p);
  }
  if (hull.size() < 3) return sharp;
  for (std::size_t i = 0; i < hull.size(); ++i) {
    const Vec2 to_last = normalized(hull[(i + hull.size() - 1) % hull.size()] - hull[i]);
    const Vec2 to_next = normalized(hull[(i + 1) % hull.size()] - hull[i]);
    if (dot(to_last, to_next) > kSharp) sharp.push_back(hull[i]);
  }
  return sharp;
}

std::vector<Vec2> lifting_corners(const Solid& solid, const Pose& pose, double warp_ratio) {
  constexpr double kWorthIt = 0.1;
  const double foot = pose.contact_mm2 / (pose_detail::kUsualFoot_mm * pose_detail::kUsualFoot_mm);
  if (warp_ratio * foot < kWorthIt) return {};
  return sharp_foot_corners(solid, pose.bed_from_part);
}

}  // namespace seamwright
