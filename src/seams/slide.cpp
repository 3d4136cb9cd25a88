#include "seams/slide.h"

namespace seamwright::search {

Transform turn_about(Vec3 pivot, Vec3 axis, Angle by) {
  Transform turn = rotation(axis, by);
  turn.shift = pivot - turn.rotate(pivot);
  return turn;
}

Plane moved(const Plane& plane, const Transform& motion) {
  const Vec3 normal = normalized(motion.rotate(plane.normal));
  return {normal, dot(normal, motion.apply(plane.normal * plane.offset_mm))};
}

PlanPtr slid(const PlanNode& seam, const Transform& motion, double share, Random& random) {
  // No half is ever as this body was: what is under a moved seam is not taken over unseen.
  static const auto kNoBody = std::make_shared<const ClipBody>();
  auto shape = std::make_shared<PlanNode>(seam);
  shape->body = kNoBody;
  shape->plane = moved(seam.plane, motion);
  for (PlanPtr* half : {&shape->above, &shape->below}) {
    if ((*half)->is_leaf() || (*half)->is_locked) continue;
    if (random.uniform() < share) *half = slid(**half, motion, share, random);
  }
  return shape;
}

}  // namespace seamwright::search
