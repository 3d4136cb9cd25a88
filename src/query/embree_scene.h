#pragma once

#include <embree3/rtcore.h>

#include <limits>
#include <span>
#include <vector>

#include "seamwright/mesh/triangle_soup.h"

namespace seamwright {

/// One Embree scene of triangle sets, in single precision about `center`. The first set added has
/// geometry id 0, the next 1, and so on. Committed scenes are safe to query from many threads.
class EmbreeScene {
 public:
  explicit EmbreeScene(Vec3 center, double half_size_mm);
  ~EmbreeScene();
  EmbreeScene(const EmbreeScene&) = delete;
  EmbreeScene& operator=(const EmbreeScene&) = delete;

  void add(std::span<const Vec3> points, std::span<const Triangle> triangles);
  void commit();

  RTCScene scene() const { return scene_; }
  Vec3 center() const { return center_; }
  /// No coordinate of the scene is farther from its double than this.
  double rounding_mm() const { return rounding_mm_; }

  RTCRay ray(Vec3 from, Vec3 direction, double start_mm, double reach_mm) const;
  bool is_blocked(Vec3 from, Vec3 direction, double start_mm, double reach_mm) const;
  /// The nearest hit; geomID is RTC_INVALID_GEOMETRY_ID when there is none.
  RTCRayHit first_hit(Vec3 from, Vec3 direction, double start_mm, double reach_mm) const;

 private:
  Vec3 center_;
  double rounding_mm_;
  RTCDevice device_;
  RTCScene scene_;
};

}  // namespace seamwright
