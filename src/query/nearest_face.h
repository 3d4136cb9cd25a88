#pragma once

#include <cmath>
#include <optional>

#include "query/embree_scene.h"
#include "query/triangle_distance.h"
#include "seamwright/mesh/solid.h"
#include "seamwright/query/ray_tree.h"

namespace seamwright {

namespace nearest_face_detail {
template <class Accepts>
struct Search {
  const Solid& solid;
  const Accepts& accepts;
  Vec3 from;
  double rounding_mm;
  std::optional<NearestPoint> best;
  double reach_mm;

  bool visit(FaceId face, float& radius_mm) {
    if (!accepts(face)) return false;
    const Vec3 point = nearest_in_triangle(from, solid.corners(face));
    const double distance_mm = norm(point - from);
    if (distance_mm > reach_mm) return false;
    if (best && (distance_mm > best->distance_mm ||
                 (distance_mm == best->distance_mm && face > best->face)))
      return false;
    best = NearestPoint{distance_mm, point, face};
    radius_mm = outer_radius(distance_mm);
    return true;
  }
  /// The tree's boxes are rounded to float: look a little farther, so that none is culled wrongly.
  float outer_radius(double distance_mm) const {
    return static_cast<float>(std::min(1e30, (distance_mm + 4 * rounding_mm) * (1 + 0x1p-20)));
  }
};

template <class Accepts>
bool on_face(RTCPointQueryFunctionArguments* args) {
  auto& search = *static_cast<Search<Accepts>*>(args->userPtr);
  return search.visit(to_id<FaceId>(args->primID), args->query->radius);
}
}  // namespace nearest_face_detail

/// The nearest accepted face of `solid`, whose faces are the scene's only set; of equally near ones
/// the lowest. Distances are taken in double; the tree only narrows the choice.
template <class Accepts>
std::optional<NearestPoint> nearest_face(const EmbreeScene& scene, const Solid& solid, Vec3 from,
                                         double reach_mm, const Accepts& accepts) {
  nearest_face_detail::Search<Accepts> search{solid, accepts, from, scene.rounding_mm(),
                                              {},    reach_mm};
  RTCPointQuery query{};
  query.x = static_cast<float>(from.x - scene.center().x);
  query.y = static_cast<float>(from.y - scene.center().y);
  query.z = static_cast<float>(from.z - scene.center().z);
  // A point far outside is itself rounded more coarsely than the scene.
  search.rounding_mm += norm(from - scene.center()) * 0x1p-22;
  query.radius = search.outer_radius(reach_mm);
  RTCPointQueryContext context;
  rtcInitPointQueryContext(&context);
  rtcPointQuery(scene.scene(), &query, &context, &nearest_face_detail::on_face<Accepts>, &search);
  return search.best;
}

}  // namespace seamwright
