#include "handoff/ray_scene.h"

#include <embree3/rtcore.h>

#include "handoff/soft_normals.h"

namespace seamwright {
namespace {

struct Release {
  void operator()(RTCDevice device) const { rtcReleaseDevice(device); }
  void operator()(RTCScene scene) const { rtcReleaseScene(scene); }
};
using Device = std::unique_ptr<std::remove_pointer_t<RTCDevice>, Release>;
using Tree = std::unique_ptr<std::remove_pointer_t<RTCScene>, Release>;

/// Points and faces copied into Embree's own buffers.
void attach_mesh(RTCDevice device, RTCScene tree, const std::vector<Vec3>& points,
                 std::span<const Triangle> triangles) {
  RTCGeometry mesh = rtcNewGeometry(device, RTC_GEOMETRY_TYPE_TRIANGLE);
  auto* xyz = static_cast<float*>(rtcSetNewGeometryBuffer(
      mesh, RTC_BUFFER_TYPE_VERTEX, 0, RTC_FORMAT_FLOAT3, 3 * sizeof(float), points.size()));
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t k = 0; k < 3; ++k) xyz[3 * i + k] = static_cast<float>(points[i][k]);
  }
  auto* corners = static_cast<unsigned*>(rtcSetNewGeometryBuffer(
      mesh, RTC_BUFFER_TYPE_INDEX, 0, RTC_FORMAT_UINT3, 3 * sizeof(unsigned), triangles.size()));
  for (std::size_t i = 0; i < triangles.size(); ++i) {
    for (std::size_t k = 0; k < 3; ++k)
      corners[3 * i + k] = static_cast<unsigned>(to_index(triangles[i][k]));
  }
  rtcCommitGeometry(mesh);
  rtcAttachGeometry(tree, mesh);
  rtcReleaseGeometry(mesh);
}

std::vector<Vec3> placed_points(const PictureSolid& shown) {
  std::vector<Vec3> points;
  points.reserve(shown.solid->points().size());
  for (const Vec3& p : shown.solid->points()) points.push_back(shown.placement.apply(p));
  return points;
}

void attach_ground(RTCDevice device, RTCScene tree, double height_mm, double reach_mm) {
  const double r = 50 * reach_mm;
  const std::vector<Vec3> points{
      {-r, -r, height_mm}, {r, -r, height_mm}, {r, r, height_mm}, {-r, r, height_mm}};
  const std::vector<Triangle> triangles{{VertexId{0}, VertexId{1}, VertexId{2}},
                                        {VertexId{0}, VertexId{2}, VertexId{3}}};
  attach_mesh(device, tree, points, triangles);
}

RTCRay embree_ray(const ViewRay& ray, double start_mm, double reach_mm) {
  RTCRay out{};
  out.org_x = static_cast<float>(ray.from.x);
  out.org_y = static_cast<float>(ray.from.y);
  out.org_z = static_cast<float>(ray.from.z);
  out.dir_x = static_cast<float>(ray.direction.x);
  out.dir_y = static_cast<float>(ray.direction.y);
  out.dir_z = static_cast<float>(ray.direction.z);
  out.tnear = static_cast<float>(start_mm);
  out.tfar = static_cast<float>(reach_mm);
  out.mask = ~0u;
  return out;
}

}  // namespace

struct RayScene::Scene {
  // Embree's own threads build the tree in steps that depend on the machine's core count only, not
  // on Run's threads; a device limited to one thread would limit the whole program's TBB to one.
  Device device{rtcNewDevice(nullptr)};
  Tree tree{rtcNewScene(device.get())};
  std::vector<PictureSolid> solids;
  std::vector<std::vector<SoftNormals>> normals;
};

RayScene::RayScene(const PictureScene& scene, double reach_mm) : scene_(std::make_unique<Scene>()) {
  scene_->solids = scene.solids;
  rtcSetSceneFlags(scene_->tree.get(), RTC_SCENE_FLAG_ROBUST);
  for (const PictureSolid& shown : scene.solids) {
    attach_mesh(scene_->device.get(), scene_->tree.get(), placed_points(shown),
                shown.solid->triangles());
    scene_->normals.push_back(soft_normals(*shown.solid));
  }
  if (scene.ground)
    attach_ground(scene_->device.get(), scene_->tree.get(), scene.ground->height_mm, reach_mm);
  rtcCommitScene(scene_->tree.get());
}

RayScene::~RayScene() = default;

int RayScene::ground_thing() const {
  return static_cast<int>(scene_->solids.size());
}

SurfaceHit RayScene::first_hit(const ViewRay& ray) const {
  RTCRayHit query{};
  query.ray = embree_ray(ray, 0, std::numeric_limits<float>::infinity());
  query.hit.geomID = RTC_INVALID_GEOMETRY_ID;
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  context.flags = RTC_INTERSECT_CONTEXT_FLAG_COHERENT;
  rtcIntersect1(scene_->tree.get(), &context, &query);
  if (query.hit.geomID == RTC_INVALID_GEOMETRY_ID) return {};
  SurfaceHit hit{static_cast<int>(query.hit.geomID), false, query.ray.tfar, {0, 0, 1}};
  if (hit.thing != ground_thing()) {
    const PictureSolid& shown = scene_->solids[query.hit.geomID];
    hit.is_cap = shown.solid->origins()[query.hit.primID].kind != OriginKind::skin;
    hit.normal = shown.placement.rotate(
        scene_->normals[query.hit.geomID][query.hit.primID].at(query.hit.u, query.hit.v));
  }
  if (dot(hit.normal, ray.direction) > 0) hit.normal = -hit.normal;
  return hit;
}

bool RayScene::is_blocked(const ViewRay& ray, double start_mm, double reach_mm) const {
  RTCRay query = embree_ray(ray, start_mm, reach_mm);
  RTCIntersectContext context;
  rtcInitIntersectContext(&context);
  rtcOccluded1(scene_->tree.get(), &context, &query);
  return query.tfar < 0;
}

}  // namespace seamwright
