#include "app/sample_picture.h"

#include <algorithm>

#include "seamwright/handoff/picture.h"

namespace seamwright::app {
namespace {

constexpr PictureSize kSize{900, 450};
constexpr double kApart_mm = 6;
constexpr Colour kAbove{196, 156, 84}, kBelow{104, 142, 132}, kLoose{178, 112, 106};
constexpr Colour kCut{226, 220, 206};

/// Turns the half so that its joint face looks up and the wall runs from left to right.
Transform face_up(const Solid& half, Vec3 out, Vec3 along, double left_mm) {
  Transform turn;
  turn.rows = {along, cross(out, along), out};
  Box3 box;
  for (Vec3 p : half.points()) box.extend(turn.apply(p));
  turn.shift = Vec3{left_mm, 0, 0} - Vec3{box.low.x, box.center().y, box.high.z};
  return turn;
}

/// All bodies laid out on a table, the halves' joint faces at z = 0.
PictureScene laid_out(const JointSample& sample, const SampleCut& cut) {
  PictureScene scene;
  const Vec3 normal = cut.seam.normal;
  const Vec3 along = normalized(cut.along - normal * dot(cut.along, normal));
  double left_mm = 0, front_mm = 0;
  for (std::size_t i = 0; i < sample.halves.size(); ++i) {
    const Solid& half = sample.halves[i];
    // Turned over like a page: the wall's same side looks to the viewer on both.
    const Transform place =
        face_up(half, i == 0 ? -normal : normal, i == 0 ? along : -along, left_mm);
    scene.solids.push_back({&half, place, i == 0 ? kAbove : kBelow, kCut});
    Box3 box;
    for (Vec3 p : half.points()) box.extend(place.apply(p));
    left_mm = box.high.x + kApart_mm;
    front_mm = std::min(front_mm, box.low.y);
  }
  double at_mm = 0;
  for (const Solid& part : sample.loose_parts) {
    Transform place = face_up(part, normal, along, at_mm);
    Box3 box;
    for (Vec3 p : part.points()) box.extend(place.apply(p));
    place.shift.y += front_mm - kApart_mm - box.high.y;
    at_mm = box.high.x + kApart_mm;
    scene.solids.push_back({&part, place, kLoose, kCut});
  }
  return scene;
}

std::vector<Vec3> points_of(const PictureScene& scene) {
  std::vector<Vec3> points;
  for (const PictureSolid& body : scene.solids)
    for (Vec3 p : body.solid->points()) points.push_back(body.placement.apply(p));
  return points;
}

}  // namespace

std::string sample_picture_png(const JointSample& sample, const SampleCut& cut) {
  const PictureScene scene = laid_out(sample, cut);
  const std::vector<Vec3> points = points_of(scene);
  Picture both{{kSize.width, 2 * kSize.height}, {}, {}};
  for (const Vec3 from : {Vec3{0.25, -1, 0.95}, Vec3{-0.25, 1, 0.95}}) {
    const Picture one = render_picture(scene, frame_points(points, from, kSize), kSize);
    both.rgb.insert(both.rgb.end(), one.rgb.begin(), one.rgb.end());
  }
  return png_bytes(both);
}

}  // namespace seamwright::app
