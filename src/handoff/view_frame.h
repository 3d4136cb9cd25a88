#pragma once

#include "seamwright/handoff/picture.h"

namespace seamwright {

struct ViewRay {
  Vec3 from, direction;  ///< direction of unit length
};

/// A camera's axes, ready to turn pixels into rays and points into pixels.
class ViewFrame {
 public:
  ViewFrame(const Camera& camera, PictureSize size);

  /// The ray through a place of the picture, in pixels from the top left corner.
  ViewRay ray(double x, double y) const;
  /// Where a point appears, in pixels; nothing behind the eye.
  std::optional<Vec2> pixel(Vec3 point) const;
  /// From a point to the viewer, of unit length.
  Vec3 to_viewer(Vec3 point) const;

  Vec3 right() const { return right_; }
  Vec3 up() const { return up_; }
  Vec3 back() const { return back_; }

 private:
  Camera camera_;
  PictureSize size_;
  Vec3 right_, up_, back_;
  double mm_per_pixel_ = 0;  ///< at the target
  double distance_mm_ = 0;   ///< of eye and target
};

}  // namespace seamwright
