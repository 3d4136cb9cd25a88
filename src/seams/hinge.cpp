#include "seams/hinge.h"

#include <algorithm>
#include <cmath>

namespace seamwright::search {
namespace {

Hinge hinge_of(const PlanNode& seam) {
  constexpr double kLeastArm_mm = 5;
  Hinge hinge;
  hinge.plane = seam.plane;
  hinge.is_locked = seam.is_locked;
  hinge.u = any_perpendicular(seam.plane.normal);
  hinge.v = cross(seam.plane.normal, hinge.u);
  const std::vector<SectionEdge> outline = clip(*seam.body, seam.plane).outline;
  double length = 0, spread = 0;
  Vec3 sum;
  for (const SectionEdge& e : outline) {
    sum += (e.from + e.to) * (norm(e.to - e.from) / 2);
    length += norm(e.to - e.from);
  }
  hinge.middle = length > 0 ? sum / length : seam.plane.normal * seam.plane.offset_mm;
  for (const SectionEdge& e : outline) {
    const Vec3 out = (e.from + e.to) / 2 - hinge.middle;
    spread += norm(e.to - e.from) * dot(out, out);
  }
  hinge.arm_mm = std::max(kLeastArm_mm, length > 0 ? std::sqrt(spread / length) : 0);
  return hinge;
}

void add_hinges(const PlanNode& node, std::vector<Hinge>& out) {
  if (node.is_leaf()) return;
  out.push_back(hinge_of(node));
  add_hinges(*node.above, out);
  add_hinges(*node.below, out);
}

}  // namespace

HingeMoves Hinge::advance(Vec3 point) const {
  return {1, -dot(point - middle, u) / arm_mm, -dot(point - middle, v) / arm_mm};
}

Plane Hinge::moved(const HingeMoves& by_mm) const {
  const Vec3 normal = normalized(plane.normal + u * (by_mm[1] / arm_mm) + v * (by_mm[2] / arm_mm));
  return {normal, dot(normal, middle + plane.normal * by_mm[0])};
}

std::vector<Hinge> hinges_of(const PlanNode& plan) {
  std::vector<Hinge> hinges;
  add_hinges(plan, hinges);
  return hinges;
}

}  // namespace seamwright::search
