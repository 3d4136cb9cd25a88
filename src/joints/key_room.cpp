#include "joints/key_room.h"

#include <algorithm>
#include <numbers>

namespace seamwright::joints {
namespace {

constexpr double kLevelStep_mm = 0.6;
constexpr double kBallStep_mm = 3;
constexpr std::size_t kRimSamples = 16;

/// The distance asked of a sample so that no obstacle nearer than `wall_mm` stands between samples.
double widened_wall_mm(double wall_mm, double radius_mm, double level_step_mm) {
  const double half_arc = std::numbers::pi * radius_mm / kRimSamples;
  return std::sqrt(wall_mm * wall_mm + level_step_mm * level_step_mm / 4 + half_arc * half_arc);
}

/// Cheap and certain where there is plenty of room: balls round the axis that hold the whole hole.
bool is_roomy(const FaceSide& side, const Surroundings& near, Vec2 center, double widest_mm,
              double depth_mm, double wall_mm) {
  const double needed = widest_mm + wall_mm;
  for (double depth = 0; depth <= depth_mm;) {
    const double nearest =
        near.nearest_mm(side.frame.lift(center, -depth), needed + kBallStep_mm, needed);
    if (nearest < needed) return false;
    if (depth == depth_mm) break;
    depth = std::min(depth_mm, depth + std::max(0.05, nearest - needed));
  }
  return true;
}

/// Nothing may stand inside the hole either, which the rim alone would not see.
bool axis_keeps_wall(const FaceSide& side, const Surroundings& near, Vec2 center, double radius_mm,
                     double depth_mm, double wall_mm) {
  const int levels = static_cast<int>(std::ceil(depth_mm / kLevelStep_mm));
  for (int i = levels; i >= 0; --i) {  // the floor first: leaning walls fail there
    const double depth = depth_mm * i / levels;
    const double needed = std::min(radius_mm, depth_mm - depth) + wall_mm;
    if (!near.keeps(side.frame.lift(center, -depth), needed)) return false;
  }
  return true;
}

/// Places on the outline, no farther apart than a circle's in sixteen: corners of its polygon, and
/// between them on a teardrop's long edges.
Loop2 rim_samples(const Loop2& outline, double radius_mm) {
  const double most_mm = 2 * std::numbers::pi * radius_mm / kRimSamples;
  const std::size_t stride = std::max<std::size_t>(1, outline.size() / kRimSamples);
  Loop2 samples;
  for (std::size_t k = 0; k < outline.size(); ++k) {
    const bool is_last = k + 1 == outline.size();  // a teardrop's tip
    const Vec2 a = outline[k], b = outline[is_last ? 0 : k + 1];
    if (k % stride == 0 || is_last) samples.push_back(a);
    const int count = static_cast<int>(std::ceil(norm(b - a) / most_mm));
    for (int i = count > 1 ? 0 : 1; i < count; ++i)
      samples.push_back(a + (b - a) * (static_cast<double>(i) / count));
  }
  return samples;
}

bool rim_keeps_wall(const FaceSide& side, const Surroundings& near, Vec2 center,
                    const Loop2& samples, double depth_mm, double needed_mm) {
  const int levels = static_cast<int>(std::ceil(depth_mm / kLevelStep_mm));
  for (int i = levels; i >= 0; --i) {
    const double depth = depth_mm * i / levels;
    for (const Vec2 at : samples) {
      if (!near.keeps(side.frame.lift(at, -depth), needed_mm)) return false;
      if (i < levels) continue;  // under the floor, halfway to its middle
      const Vec2 halfway = (at + center) / 2;
      if (!near.keeps(side.frame.lift(halfway, -depth), needed_mm)) return false;
    }
  }
  return true;
}

}  // namespace

FaceSide face_side(const Plane& plane, Side side, const Pose& pose) {
  FaceSide out{CapFrame(plane, side), {}, false};
  const Vec3 up = pose.bed_from_part.rotate_back({0, 0, 1});
  const double rise = dot(up, out.frame.out);
  const Vec2 flat{dot(up, out.frame.u), dot(up, out.frame.v)};
  if (std::abs(rise) < std::numbers::sqrt2 / 2) out.roof = normalized(flat);
  const double height = pose.bed_from_part.apply(out.frame.origin).z;
  out.is_on_bed = rise < -1 + 1e-6 && std::abs(height) < 0.02;
  return out;
}

double hole_radius_mm(double diameter_mm, const FaceSide& side, const Joinery& joinery) {
  return diameter_mm / 2 + joinery.slide_clearance_mm +
         (side.roof ? joinery.lying_hole_extra_mm : 0);
}

bool hole_keeps_wall(const FaceSide& side, const Surroundings& near, Vec2 center, double radius_mm,
                     const Loop2& outline, double depth_mm, double wall_mm) {
  double widest = 0;
  for (Vec2 p : outline) widest = std::max(widest, norm(p - center));
  if (is_roomy(side, near, center, widest, depth_mm, wall_mm)) return true;
  if (!axis_keeps_wall(side, near, center, radius_mm, depth_mm, wall_mm)) return false;
  const double step = depth_mm / std::ceil(depth_mm / kLevelStep_mm);
  return rim_keeps_wall(side, near, center, rim_samples(outline, radius_mm), depth_mm,
                        widened_wall_mm(wall_mm, radius_mm, step));
}

double segments_distance_mm(Vec3 a0, Vec3 a1, Vec3 b0, Vec3 b1) {
  const Vec3 da = a1 - a0, db = b1 - b0, r = a0 - b0;
  const double a = dot(da, da), e = dot(db, db), f = dot(db, r), c = dot(da, r), b = dot(da, db);
  const double denominator = a * e - b * b;
  double s =
      denominator > 1e-12 * a * e ? std::clamp((b * f - c * e) / denominator, 0.0, 1.0) : 0.0;
  double t = e > 0 ? (b * s + f) / e : 0.0;
  if (t < 0 || t > 1) {
    t = std::clamp(t, 0.0, 1.0);
    s = a > 0 ? std::clamp((b * t - c) / a, 0.0, 1.0) : 0.0;
  }
  return norm(a0 + da * s - (b0 + db * t));
}

}  // namespace seamwright::joints
