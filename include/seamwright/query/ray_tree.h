#pragma once

#include <memory>
#include <optional>

#include "seamwright/mesh/solid.h"

namespace seamwright {

struct RayHit {
  double distance_mm = 0;
  FaceId face{};
  bool from_behind = false;  ///< the face was hit from its inside
};
struct NearestPoint {
  double distance_mm = 0;
  Vec3 point;
  FaceId face{};
};

/// Rays and distances against one solid (Embree; single precision: positions to about 1e-4 mm on a
/// 600 mm part). Safe to use from many threads. Setup O(n log n), a query O(log n).
class RayTree {
 public:
  explicit RayTree(const Solid& solid);
  ~RayTree();
  RayTree(RayTree&&) noexcept;

  /// Nearest face along the unit direction, from `start_mm` on.
  std::optional<RayHit> first_hit(Vec3 from, Vec3 direction, double start_mm = 1e-3) const;
  /// Whether anything lies along the unit direction between `start_mm` and `reach_mm`.
  bool is_blocked(Vec3 from, Vec3 direction, double start_mm = 1e-3, double reach_mm = 1e9) const;
  /// Nearest surface point within `reach_mm`; exact in double precision.
  std::optional<NearestPoint> nearest(Vec3 from, double reach_mm = 1e9) const;
  /// Whether the point is inside (majority of three rays' winding).
  bool contains(Vec3 point) const;

 private:
  struct Scene;
  std::unique_ptr<Scene> scene_;
};

}  // namespace seamwright
