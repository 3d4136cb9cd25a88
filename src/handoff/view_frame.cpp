#include "handoff/view_frame.h"

namespace seamwright {
namespace {

constexpr double kRoomRatio = 0.06;  ///< paper left free around the things
const Angle kViewAngle = Angle::degrees(24);

}  // namespace

ViewFrame::ViewFrame(const Camera& camera, PictureSize size) : camera_(camera), size_(size) {
  require(size.width > 0 && size.height > 0, "a picture has pixels");
  distance_mm_ = norm(camera.eye - camera.target);
  require(distance_mm_ > 0, "the eye is not at the target");
  back_ = normalized(camera.eye - camera.target);
  right_ = normalized(cross(camera.up, back_));
  if (norm(right_) < 0.5) right_ = any_perpendicular(back_);
  up_ = cross(back_, right_);
  const double height_mm = camera.view_angle
                               ? 2 * distance_mm_ * std::tan(camera.view_angle->radians() / 2)
                               : camera.height_mm;
  mm_per_pixel_ = height_mm / size.height;
}

ViewRay ViewFrame::ray(double x, double y) const {
  const Vec3 at = camera_.target + right_ * ((x - 0.5 * size_.width) * mm_per_pixel_) -
                  up_ * ((y - 0.5 * size_.height) * mm_per_pixel_);
  if (camera_.view_angle) return {camera_.eye, normalized(at - camera_.eye)};
  return {at + back_ * distance_mm_, -back_};
}

std::optional<Vec2> ViewFrame::pixel(Vec3 point) const {
  const Vec3 arm = point - camera_.target;
  double scale = 1 / mm_per_pixel_;
  if (camera_.view_angle) {
    const double before_eye_mm = distance_mm_ - dot(arm, back_);
    if (before_eye_mm <= 1e-6 * distance_mm_) return std::nullopt;
    scale *= distance_mm_ / before_eye_mm;
  }
  return Vec2{0.5 * size_.width + dot(arm, right_) * scale,
              0.5 * size_.height - dot(arm, up_) * scale};
}

Vec3 ViewFrame::to_viewer(Vec3 point) const {
  return camera_.view_angle ? normalized(camera_.eye - point) : back_;
}

std::optional<Vec2> project_point(const Camera& camera, PictureSize size, Vec3 point) {
  const auto pixel = ViewFrame(camera, size).pixel(point);
  if (!pixel) return std::nullopt;
  return Vec2{pixel->x / size.width, pixel->y / size.height};
}

Camera frame_points(const std::vector<Vec3>& points, Vec3 from_target, PictureSize size) {
  Box3 box;
  for (const Vec3& p : points) box.extend(p);
  require(!box.is_empty(), "a picture shows something");
  const Vec3 back = normalized(from_target);
  Camera camera{{}, box.center(), {0, 0, 1}, kViewAngle, 0};
  const double reach_mm = std::max(norm(box.size()), 1e-3);
  double distance_mm = 4 * reach_mm;
  // Sliding the target to the middle of what is seen and the eye to where it just fits converges
  // fast.
  for (int round = 0; round < 6; ++round) {
    camera.eye = camera.target + back * distance_mm;
    const ViewFrame frame(camera, size);
    Box3 seen;
    for (const Vec3& p : points) {
      if (const auto pixel = frame.pixel(p)) seen.extend({pixel->x, pixel->y, 0});
    }
    const double mm_per_pixel = 2 * distance_mm * std::tan(kViewAngle.radians() / 2) / size.height;
    const Vec3 middle = seen.center();
    camera.target = camera.target + frame.right() * ((middle.x - 0.5 * size.width) * mm_per_pixel) -
                    frame.up() * ((middle.y - 0.5 * size.height) * mm_per_pixel);
    const double fill = std::max(seen.size().x / size.width, seen.size().y / size.height);
    distance_mm = std::max(distance_mm * fill / (1 - 2 * kRoomRatio), 0.8 * reach_mm);
  }
  camera.eye = camera.target + back * distance_mm;
  return camera;
}

}  // namespace seamwright
