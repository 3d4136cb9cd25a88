#include "seamwright/wiring/funnels.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "seamwright/cut/boolean.h"
#include "wiring/sweep_rings.h"

namespace seamwright {
namespace {

constexpr double kHoleRatio =
    0.75;  // of a diameter: how far from the face's edge a hole's middle lies
constexpr double kSteepestSine = 0.5;  // below 30° the ellipse grows too long for its piece
constexpr double kInsideMm = 0.35;     // the funnel's tip ends inside the bore, off its wall

bool is_bored(const Channel& channel) {
  return channel.kind == "bore" || channel.kind == "rib" || channel.kind == "spar";
}

/// A double funnel at a crossing: rings parallel to the seam, each the bore's own ellipse in that
/// plane, wider at the seam.
Solid double_funnel(const SeamCrossing& crossing, const Plane& plane, double diameter_mm,
                    double widen_mm) {
  const Vec3 normal = dot(crossing.along, plane.normal) >= 0 ? plane.normal : -plane.normal;
  const double sine = dot(crossing.along, normal);
  // In the plane the bore is longer along the way's own direction there.
  const Vec3 flat = crossing.along - normal * sine;
  const Vec3 longer = norm(flat) > 1e-6 ? normalized(flat) : any_perpendicular(normal);
  const Vec3 across = cross(normal, longer);
  const double radius_mm = diameter_mm / 2, tip_mm = std::min(kInsideMm, radius_mm / 3);
  const std::size_t sides = wiring_detail::side_count(radius_mm + widen_mm);
  wiring_detail::Rings rings;
  std::vector<Vec3> middles;
  for (const double side : {-1.0, 0.0, 1.0}) {
    const double grow_mm = side == 0 ? widen_mm : -tip_mm;
    const double depth_mm = side * (widen_mm + tip_mm);
    const Vec3 middle = crossing.at + crossing.along * (depth_mm / sine);
    rings.push_back(wiring_detail::circle_round(middle, longer * ((radius_mm + grow_mm) / sine),
                                                across * (radius_mm + grow_mm), 1.0, sides));
    middles.push_back(middle);
  }
  return wiring_detail::sweep_rings(
      rings, middles.front(), middles.back(),
      {OriginKind::channel, static_cast<std::uint32_t>(crossing.channel)});
}

/// The joint face that a point of its plane lies in, or whose hole it lies in.
const JointFace* face_at(std::span<const JointFace> faces, const Seam& seam, Vec3 at,
                         double diameter_mm) {
  const Vec2 flat = PlaneFrame(seam.plane).flatten(at);
  const JointFace* nearest = nullptr;
  double nearest_mm = kHoleRatio * diameter_mm;
  for (const JointFace& face : faces) {
    if (face.seam != seam.id) continue;
    if (region_contains(face.region, flat)) return &face;
    const double away_mm = region_edge_distance_mm(face.region, flat);
    if (away_mm > nearest_mm) continue;
    nearest_mm = away_mm;
    nearest = &face;
  }
  return nearest;
}

void add_crossings(std::vector<SeamCrossing>& found, const SeamPlan& plan,
                   std::span<const JointFace> faces, const Channel& channel, std::size_t index) {
  double way_mm = 0;
  for (std::size_t i = 0; i + 1 < channel.path.size(); ++i) {
    const Vec3 a = channel.path[i], b = channel.path[i + 1];
    const double step_mm = norm(b - a);
    for (const Seam& seam : plan.seams) {
      const double da = seam.plane.distance(a), db = seam.plane.distance(b);
      if ((da >= 0) == (db >= 0)) continue;
      const double share = da / (da - db);
      SeamCrossing crossing{.channel = index, .seam = seam.id, .at = a + (b - a) * share};
      const JointFace* face = face_at(faces, seam, crossing.at, channel.diameter_mm);
      if (face == nullptr) continue;
      crossing.along = normalized(b - a);
      crossing.way_mm = way_mm + share * step_mm;
      crossing.angle = Angle::radians(std::asin(std::min(1.0, std::abs(da - db) / step_mm)));
      crossing.before = da >= 0 ? face->above : face->below;
      crossing.after = da >= 0 ? face->below : face->above;
      found.push_back(crossing);
    }
    way_mm += step_mm;
  }
}

}  // namespace

std::vector<SeamCrossing> find_crossings(const SeamPlan& plan, std::span<const JointFace> faces,
                                         std::span<const Channel> channels) {
  std::vector<SeamCrossing> found;
  for (std::size_t i = 0; i < channels.size(); ++i) {
    const auto first = static_cast<std::ptrdiff_t>(found.size());
    add_crossings(found, plan, faces, channels[i], i);
    std::stable_sort(
        found.begin() + first, found.end(),
        [](const SeamCrossing& a, const SeamCrossing& b) { return a.way_mm < b.way_mm; });
  }
  return found;
}

Result<Solid> cut_funnels(const Solid& wired, const SeamPlan& plan,
                          std::span<const SeamCrossing> crossings,
                          std::span<const Channel> channels, double widen_mm) {
  std::vector<Tool> tools;
  for (const SeamCrossing& crossing : crossings) {
    const Channel& channel = channels[crossing.channel];
    if (!is_bored(channel) || std::sin(crossing.angle.radians()) < kSteepestSine) continue;
    const Seam* seam = find_seam(plan, crossing.seam);
    require(seam != nullptr, "a crossing's seam is in the plan");
    tools.push_back({fmt::format("{} \"{}\" at its seam S{}", channel.kind, channel.name,
                                 to_index(crossing.seam)),
                     double_funnel(crossing, seam->plane, channel.diameter_mm, widen_mm)});
  }
  return combine(wired, {}, tools);
}

}  // namespace seamwright
