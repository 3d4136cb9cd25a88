#include "query/embree_scene.h"

#include "seamwright/core/result.h"

namespace seamwright {

EmbreeScene::EmbreeScene(Vec3 center, double half_size_mm)
    : center_(center),
      rounding_mm_(std::max(half_size_mm, 1e-3) * 0x1p-23),
      device_(rtcNewDevice(nullptr)),
      scene_(rtcNewScene(device_)) {
  require(device_ != nullptr && scene_ != nullptr, "Embree starts");
  // Robust: no ray slips through an edge between two faces, whatever tree was built.
  rtcSetSceneFlags(scene_, static_cast<RTCSceneFlags>(RTC_SCENE_FLAG_ROBUST |
                                                      RTC_SCENE_FLAG_CONTEXT_FILTER_FUNCTION));
}

EmbreeScene::~EmbreeScene() {
  rtcReleaseScene(scene_);
  rtcReleaseDevice(device_);
}

void EmbreeScene::add(std::span<const Vec3> points, std::span<const Triangle> triangles) {
  RTCGeometry geometry = rtcNewGeometry(device_, RTC_GEOMETRY_TYPE_TRIANGLE);
  auto* at = static_cast<float*>(rtcSetNewGeometryBuffer(
      geometry, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 3 * sizeof(float), points.size()));
  auto* corner = static_cast<unsigned*>(
      rtcSetNewGeometryBuffer(geometry, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3,
                              3 * sizeof(unsigned), triangles.size()));
  require(at != nullptr && corner != nullptr, "Embree has memory for the scene");
  for (Vec3 p : points) {
    for (std::size_t k = 0; k < 3; ++k) *at++ = static_cast<float>(p[k] - center_[k]);
  }
  for (const Triangle& t : triangles) {
    for (VertexId v : t) *corner++ = static_cast<unsigned>(v);
  }
  rtcCommitGeometry(geometry);
  rtcAttachGeometry(scene_, geometry);
  rtcReleaseGeometry(geometry);
}

void EmbreeScene::commit() {
  rtcCommitScene(scene_);
}

RTCRay EmbreeScene::ray(Vec3 from, Vec3 direction, double start_mm, double reach_mm) const {
  RTCRay ray{};
  ray.org_x = static_cast<float>(from.x - center_.x);
  ray.org_y = static_cast<float>(from.y - center_.y);
  ray.org_z = static_cast<float>(from.z - center_.z);
  ray.dir_x = static_cast<float>(direction.x);
  ray.dir_y = static_cast<float>(direction.y);
  ray.dir_z = static_cast<float>(direction.z);
  ray.tnear = static_cast<float>(start_mm);
  ray.tfar = static_cast<float>(reach_mm);
  ray.mask = ~0U;
  return ray;
}

bool EmbreeScene::is_blocked(Vec3 from, Vec3 direction, double start_mm, double reach_mm) const {
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  RTCRay probe = ray(from, direction, start_mm, reach_mm);
  rtcOccluded1(scene_, &context, &probe);
  return probe.tfar < 0;
}

RTCRayHit EmbreeScene::first_hit(Vec3 from, Vec3 direction, double start_mm,
                                 double reach_mm) const {
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  RTCRayHit probe{};
  probe.ray = ray(from, direction, start_mm, reach_mm);
  probe.hit.geomID = RTC_INVALID_GEOMETRY_ID;
  rtcIntersect1(scene_, &context, &probe);
  return probe;
}

}  // namespace seamwright
