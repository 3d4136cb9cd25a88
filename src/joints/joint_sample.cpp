#include "seamwright/joints/joint_sample.h"

#include <fmt/format.h>

#include <algorithm>

#include "seamwright/cut/plane_cut.h"
#include "seamwright/query/mass_properties.h"

namespace seamwright {
namespace {

constexpr std::uint32_t kSampleSeam = 0xfffffffe;  // what the sample's own caps bear

/// What of the body lies below the plane; nothing when none does.
Result<std::optional<Solid>> below_plane(const Solid& body, const Plane& plane) {
  auto halves = plane_cut(body, plane, to_id<SeamId>(kSampleSeam));
  if (!halves) return std::move(halves).error();
  return std::move(halves->below);
}

Plane facing(Vec3 normal, Vec3 through) {
  return {normal, dot(normal, through)};
}

Result<std::optional<Solid>> slice(const Solid& body, const SampleCut& cut) {
  const Vec3 across = cross(cut.seam.normal, cut.along);
  std::optional<Solid> rest = body;
  for (const auto& [direction, half_mm] :
       {std::pair{cut.along, cut.width_mm / 2}, std::pair{cut.seam.normal, cut.depth_mm},
        std::pair{across, cut.reach_mm}}) {
    for (double sign : {1.0, -1.0}) {
      if (!rest) return rest;
      const Vec3 normal = direction * sign;
      auto below = below_plane(*rest, facing(normal, cut.at + normal * half_mm));
      if (!below) return std::move(below).error();
      rest = std::move(*below);
    }
  }
  return rest;
}

/// The largest of the parts that come within `reach_mm` of the seam: beside the joint, the slice
/// may hold another wall.
std::optional<Solid> at_the_seam(const std::optional<Solid>& body, const SampleCut& cut,
                                 double reach_mm) {
  if (!body) return {};
  std::optional<Solid> best;
  double best_mm = 1e300;
  for (Solid& part : split_components(*body)) {
    double nearest_mm = 1e300, to_middle_mm = 1e300;
    for (Vec3 p : part.points()) {
      nearest_mm = std::min(nearest_mm, std::abs(cut.seam.distance(p)));
      to_middle_mm = std::min(to_middle_mm, norm(p - cut.at));
    }
    if (nearest_mm > reach_mm || to_middle_mm >= best_mm) continue;
    best_mm = to_middle_mm;
    best = std::move(part);
  }
  return best;
}

}  // namespace

Result<JointSample> cut_joint_sample(const Solid& above, const Solid& below,
                                     std::span<const Solid> loose_parts, const SampleCut& cut) {
  JointSample sample;
  for (const Solid* piece : {&above, &below}) {
    auto sliced = slice(*piece, cut);
    if (!sliced) return std::move(sliced).error();
    auto half = at_the_seam(*sliced, cut, 0.5);
    if (!half)
      return Error{"no-sample",
                   fmt::format("a piece has nothing at the seam near ({:.1f}, {:.1f}, {:.1f})",
                               cut.at.x, cut.at.y, cut.at.z)};
    sample.halves.push_back(std::move(*half));
  }
  for (const Solid& part : loose_parts) {
    auto sliced = slice(part, cut);
    if (!sliced) return std::move(sliced).error();
    if (*sliced) sample.loose_parts.push_back(std::move(**sliced));
  }
  return sample;
}

Transform sample_pose(const Solid& half, Vec3 down) {
  const Vec3 up = -down, x = any_perpendicular(up);
  Transform pose{{x, cross(up, x), up}, {}};
  Box3 box;
  for (Vec3 p : half.points()) box.extend(pose.apply(p));
  pose.shift = -box.low;
  return pose;
}

}  // namespace seamwright
