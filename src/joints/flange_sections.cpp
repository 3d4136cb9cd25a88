#include "joints/flange_sections.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace seamwright::joints {
namespace {

constexpr double kStep_mm = 2;
constexpr double kSunk_mm = 1;           // the foot under the skin
constexpr double kMargin_mm = 2;         // of skin beside the foot that must be there
constexpr double kSteepest_ratio = 1.2;  // 50°: steeper walls would hide the flange's foot
constexpr double kOverSkin_mm = 5;
constexpr double kOnSkin_mm = 0.05;
constexpr double kReach_mm = 12;
constexpr double kOffSeams_mm = 0.5;  // from the planes of other seams

bool is_forward(Vec3 a, Vec3 b, const FlangeSection& section) {
  return std::abs(dot(b - a, section.along)) > 0.3 * kStep_mm;
}

/// Height of the skin over the base at a distance from the seam; nothing off the hidden skin.
std::optional<double> skin_height(const FlangeGround& ground, const FlangeSection& section,
                                  double at_mm) {
  const bool is_above = at_mm > 0;
  const Vec3 foot = section.base + ground.plane.normal * at_mm;
  const RayTree& tree = is_above ? ground.above_tree : ground.below_tree;
  // On a steep wall the skin may stand higher than a usual look from above.
  const double look_mm = kOverSkin_mm + std::max(0.0, kSteepest_ratio * (std::abs(at_mm) - 5));
  const auto hit = tree.first_hit(foot + section.out * look_mm, -section.out, 0);
  if (!hit || hit->from_behind) return {};
  const Solid& solid = is_above ? ground.above : ground.below;
  if (solid.origin(hit->face).kind != OriginKind::skin) return {};
  const double height = look_mm - hit->distance_mm;
  if (std::abs(height) > kSteepest_ratio * std::abs(at_mm) + 1) return {};
  if (!ground.hidden.is_hidden(foot + section.out * height, kOnSkin_mm)) return {};
  return height;
}

/// Whether each half of the ridge lies in the space of its own piece, so that no other seam cuts a
/// bit off it.
bool stays_in_cells(const FlangeSection& section, const FlangeGround& ground) {
  const auto on_seam = [&](Vec3 below, Vec3 above) {
    const double from = ground.plane.distance(below), to = ground.plane.distance(above);
    return below + (above - below) * (from / (from - to));
  };
  const Vec3 foot = on_seam(section.foot_below, section.foot_above);
  const Vec3 top = on_seam(section.top_below, section.top_above);
  for (Vec3 p : {section.foot_below, section.top_below, foot, top})
    if (!ground.below_cell.holds(p, kOffSeams_mm)) return false;
  for (Vec3 p : {section.foot_above, section.top_above, foot, top})
    if (!ground.above_cell.holds(p, kOffSeams_mm)) return false;
  return true;
}

bool set(FlangeSection& section, const FlangeGround& ground, Side screw_side) {
  std::array<double, 2> foot{}, beside{}, at{};
  for (std::size_t i = 0; i < 2; ++i) {
    const Side side = i == 0 ? Side::below : Side::above;
    const double sign = i == 0 ? -1 : 1, thick_mm = flange_side_mm(ground.rules, side, screw_side);
    const auto at_foot = skin_height(ground, section, sign * thick_mm);
    const auto by_foot = skin_height(ground, section, sign * (thick_mm + kMargin_mm));
    if (!at_foot || !by_foot) return false;
    at[i] = sign * thick_mm;
    foot[i] = *at_foot;
    beside[i] = *by_foot;
  }
  section.highest_mm = std::max({0.0, foot[0], foot[1], beside[0], beside[1]});
  section.top_mm = ground.rules.over_skin_mm() + std::max({0.0, foot[0], foot[1]});
  const auto point = [&](double along_normal, double height) {
    return section.base + ground.plane.normal * along_normal + section.out * height;
  };
  section.foot_below = point(at[0], foot[0] - kSunk_mm);
  section.foot_above = point(at[1], foot[1] - kSunk_mm);
  section.top_below = point(at[0], section.top_mm);
  section.top_above = point(at[1], section.top_mm);
  if (!stays_in_cells(section, ground)) return false;
  for (Vec3 p : {section.top_below, section.top_above})
    if (ground.hidden.height_mm(p, kReach_mm) < 0.6 * ground.rules.height_mm) return false;
  for (Vec3 p : {section.foot_below, section.foot_above})
    if (ground.hidden.height_mm(p, kReach_mm) > -0.4) return false;
  return true;
}

}  // namespace

std::vector<FlangeSection> flange_sections(const std::vector<EdgePoint>& stretch,
                                           const FlangeGround& ground, Side screw_side) {
  const PlaneFrame frame(ground.plane);
  std::vector<FlangeSection> out;
  for (const EdgePoint& edge : stretch) {
    FlangeSection section;
    section.base = frame.lift(edge.at);
    section.out = frame.u * edge.out.x + frame.v * edge.out.y;
    section.along = cross(ground.plane.normal, section.out);
    section.is_good = set(section, ground, screw_side);
    out.push_back(section);
  }
  std::vector<char> folds(out.size(), 0);
  for (std::size_t i = 0; i + 1 < out.size(); ++i) {
    const bool is_folded = !is_forward(out[i].top_above, out[i + 1].top_above, out[i]) ||
                           !is_forward(out[i].foot_above, out[i + 1].foot_above, out[i]);
    if (is_folded) folds[i] = folds[i + 1] = 1;
  }
  for (std::size_t i = 0; i < out.size(); ++i) out[i].is_good &= !folds[i];
  return out;
}

}  // namespace seamwright::joints
