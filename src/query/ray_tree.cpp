#include "seamwright/query/ray_tree.h"

#include "query/embree_scene.h"
#include "query/nearest_face.h"

namespace seamwright {

struct RayTree::Scene {
  Solid solid;  // the tree answers in doubles and outlives its caller's copy
  EmbreeScene embree;
  explicit Scene(const Solid& of)
      : solid(of), embree(of.box().center(), norm(of.box().size()) / 2) {
    embree.add(solid.points(), solid.triangles());
    embree.commit();
  }
};

namespace {

/// Embree's normals are those of counter-clockwise corners: outward.
bool is_from_behind(const RTCRay& ray, const RTCHit& hit) {
  return ray.dir_x * hit.Ng_x + ray.dir_y * hit.Ng_y + ray.dir_z * hit.Ng_z > 0;
}

/// Counts every crossing of a ray by rejecting each hit as it is found.
struct WindingContext {
  RTCIntersectContext context;  // first, so that Embree's pointer is ours
  int winding = 0;
};
void count_crossing(const RTCFilterFunctionNArguments* args) {
  auto* counter = reinterpret_cast<WindingContext*>(args->context);
  const RTCRay ray = rtcGetRayFromRayN(args->ray, args->N, 0);
  const RTCHit hit = rtcGetHitFromHitN(args->hit, args->N, 0);
  counter->winding += is_from_behind(ray, hit) ? 1 : -1;
  args->valid[0] = 0;
}

int winding_along(const EmbreeScene& scene, Vec3 from, Vec3 direction) {
  WindingContext counter;
  rtcInitIntersectContext(&counter.context);
  counter.context.filter = &count_crossing;
  RTCRayHit probe{};
  probe.ray = scene.ray(from, direction, 0, 1e9);
  probe.hit.geomID = RTC_INVALID_GEOMETRY_ID;
  rtcIntersect1(scene.scene(), &counter.context, &probe);
  return counter.winding;
}

}  // namespace

RayTree::RayTree(const Solid& solid) : scene_(std::make_unique<Scene>(solid)) {}
RayTree::~RayTree() = default;
RayTree::RayTree(RayTree&&) noexcept = default;

std::optional<RayHit> RayTree::first_hit(Vec3 from, Vec3 direction, double start_mm) const {
  const RTCRayHit probe = scene_->embree.first_hit(from, direction, start_mm, 1e9);
  if (probe.hit.geomID == RTC_INVALID_GEOMETRY_ID) return std::nullopt;
  return RayHit{probe.ray.tfar, to_id<FaceId>(probe.hit.primID),
                is_from_behind(probe.ray, probe.hit)};
}

bool RayTree::is_blocked(Vec3 from, Vec3 direction, double start_mm, double reach_mm) const {
  return scene_->embree.is_blocked(from, direction, start_mm, reach_mm);
}

std::optional<NearestPoint> RayTree::nearest(Vec3 from, double reach_mm) const {
  return nearest_face(scene_->embree, scene_->solid, from, reach_mm, [](FaceId) { return true; });
}

bool RayTree::contains(Vec3 point) const {
  const Box3& box = scene_->solid.box();
  for (std::size_t k = 0; k < 3; ++k) {
    if (point[k] < box.low[k] || point[k] > box.high[k]) return false;
  }
  // Directions that no modeller's grid has, so that edges are rarely met.
  constexpr std::array<Vec3, 3> kRays{Vec3{0.5377, 0.6218, 0.5694}, Vec3{-0.7331, 0.2909, 0.6147},
                                      Vec3{0.3761, -0.8713, -0.3151}};
  int inside = 0;
  for (Vec3 ray : kRays)
    inside += winding_along(scene_->embree, point, normalized(ray)) > 0 ? 1 : 0;
  return inside >= 2;
}

}  // namespace seamwright
