#pragma once

#include <memory>

#include "handoff/view_frame.h"
#include "seamwright/handoff/picture.h"

namespace seamwright {

/// What a ray of the picture meets.
struct SurfaceHit {
  static constexpr int kNothing = -1;
  int thing = kNothing;  ///< position of the solid; the solid count for the ground
  bool is_cap = false;
  float distance_mm = 0;
  Vec3 normal;  ///< smooth, of unit length, towards the viewer
  bool shows_something() const { return thing != kNothing; }
};

/// The solids of a picture for Embree, with smooth normals. Safe to use from many threads.
class RayScene {
 public:
  explicit RayScene(const PictureScene& scene, double reach_mm);
  ~RayScene();
  RayScene(const RayScene&) = delete;
  RayScene& operator=(const RayScene&) = delete;

  SurfaceHit first_hit(const ViewRay& ray) const;
  bool is_blocked(const ViewRay& ray, double start_mm, double reach_mm) const;
  int ground_thing() const;

 private:
  struct Scene;
  std::unique_ptr<Scene> scene_;
};

}  // namespace seamwright
