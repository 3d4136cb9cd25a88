#include "handoff/assembly_drawings.h"

#include <algorithm>

#include "seamwright/handoff/line_drawing.h"
#include "seamwright/handoff/views.h"

namespace seamwright::report {
namespace {

constexpr double kApart_ratio = 0.18;  // of the step's extent, between the sides
constexpr PictureSize kSize{560, 400};

/// A page knows its drawings without the name space, which would look like an address to fetch.
std::string inside_page(std::string svg) {
  const std::size_t at = svg.find(" xmlns=");
  if (at != std::string::npos) svg.erase(at, svg.find('"', at + 8) + 1 - at);
  return svg;
}

bool is_in(const FittingStep& step, std::size_t joint) {
  return std::find(step.joints.begin(), step.joints.end(), joint) != step.joints.end();
}

double extent_mm(const HandOff& hand_off, const FittingStep& step) {
  Box3 box;
  for (const auto* side : {&step.above, &step.below}) {
    for (std::size_t p : *side) {
      box.extend(hand_off.pieces.at(p).keyed.box().low);
      box.extend(hand_off.pieces.at(p).keyed.box().high);
    }
  }
  return norm(box.size());
}

/// From the side, so that the gap shows, and from where the viewer stands as far as that goes; from
/// the hidden side where straps go on.
Vec3 view_of(const HandOff& hand_off, Vec3 normal, bool has_straps) {
  Vec3 viewer = normalized(viewer_direction(hand_off.part));
  if (has_straps) viewer = {viewer.x, viewer.y, -viewer.z};
  const Vec3 flat = viewer - normal * dot(viewer, normal);
  const Vec3 across = norm(flat) > 0.2 ? normalized(flat) : any_perpendicular(normal);
  return across + normal * 0.45;
}

}  // namespace

std::string step_drawing(const HandOff& hand_off, const FittingStep& step, const Run& run) {
  const Seam* seam = find_seam(hand_off.seams.plan, step.seam);
  require(seam != nullptr, "a step's seam is in the plan");
  const Transform upright = upright_from_part(hand_off.part);
  const Vec3 normal = upright.rotate(seam->plane.normal);
  const double apart_mm = kApart_ratio * extent_mm(hand_off, step);
  std::vector<DrawnBody> bodies;
  for (const auto* side : {&step.above, &step.below}) {
    const double sign = side == &step.above ? 0.5 : -0.5;
    for (std::size_t p : *side) {
      Transform placement = upright;
      placement.shift += normal * (sign * apart_mm);
      bodies.push_back({&hand_off.pieces.at(p).keyed, placement, hand_off.pieces.at(p).mark});
    }
  }
  std::vector<DrawnPath> paths;
  bool has_straps = false;
  for (std::size_t j : step.joints) {
    for (const Key& key : hand_off.joints.at(j).keys) {
      has_straps |= key.kind == KeyKind::strap;
      if (key.kind == KeyKind::strap) continue;
      const Vec3 at = upright.apply(key.at);
      paths.push_back({at - normal * (apart_mm / 2), at + normal * (apart_mm / 2)});
    }
  }
  for (const LoosePart& part : hand_off.loose_parts) {
    if (!is_in(step, part.joint)) continue;
    bodies.push_back({&part.solid, upright, part.mark});
  }
  return inside_page(
      line_drawing_svg(bodies, paths, view_of(hand_off, normal, has_straps), kSize, run));
}

}  // namespace seamwright::report
