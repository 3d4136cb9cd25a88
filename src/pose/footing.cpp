#include "pose/footing.h"

#include "pose/outline.h"

namespace seamwright::pose_detail {
namespace {

/// The part of a triangle under a level, as a polygon of up to five corners.
struct Clipped {
  std::array<Vec2, 5> corners;
  std::size_t count = 0;
  void add(Vec2 p) { corners[count++] = p; }
  double area_mm2() const {
    double twice = 0;
    for (std::size_t i = 1; i + 1 < count; ++i) {
      twice += cross(corners[i] - corners[0], corners[i + 1] - corners[0]);
    }
    return std::abs(twice) / 2;
  }
};

Clipped clip_under(const std::array<Vec2, 3>& at, const std::array<double, 3>& height,
                   double level) {
  Clipped part;
  for (std::size_t i = 0; i < 3; ++i) {
    const std::size_t j = (i + 1) % 3;
    if (height[i] <= level) part.add(at[i]);
    if ((height[i] <= level) != (height[j] <= level)) {
      const double t = (level - height[i]) / (height[j] - height[i]);
      part.add(at[i] + (at[j] - at[i]) * t);
    }
  }
  return part;
}

}  // namespace

SolidFacts::SolidFacts(const Solid& of) : solid(&of) {
  area_normals.reserve(of.face_count());
  double_areas.reserve(of.face_count());
  const Vec3 center = of.box().center();
  double six_volumes = 0, double_area = 0;
  Vec3 moments;
  for (const Triangle& t : of.triangles()) {
    const Vec3 a = of.point(t[0]) - center, b = of.point(t[1]) - center,
               c = of.point(t[2]) - center;
    const Vec3 normal = cross(b - a, c - a);
    area_normals.push_back(normal);
    double_areas.push_back(norm(normal));
    const double six_volume = dot(a, normal);
    double_area += double_areas.back();
    six_volumes += six_volume;
    moments += (a + b + c) * six_volume;
  }
  area_mm2 = double_area / 2;
  volume_mm3 = six_volumes / 6;
  centroid = center + moments / (4 * six_volumes);
}

Footing FootingMaker::look(Vec3 down) {
  const std::span<const Vec3> points = facts_.solid->points();
  Footing footing;
  footing.down = down;
  footing.u = any_perpendicular(-down);
  footing.v = cross(-down, footing.u);
  heights_.resize(points.size());
  flat_.resize(points.size());
  double least = std::numeric_limits<double>::infinity(), most = -least;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double depth = dot(down, points[i]);
    heights_[i] = depth;
    flat_[i] = {dot(footing.u, points[i]), dot(footing.v, points[i])};
    least = std::min(least, depth);
    most = std::max(most, depth);
  }
  for (double& height : heights_) height = most - height;
  footing.bed_mm = most;
  footing.height_mm = most - least;
  spent_ = flat_;
  footing.outline = outline_of(spent_);
  return footing;
}

/// Adds a down-facing face that reaches below the contact level; `share` becomes the part of the
/// face in contact.
void FootingMaker::add_contact_part(std::size_t f, double projected, Footing& footing,
                                    double& share) {
  const Triangle& t = facts_.solid->triangles()[f];
  const std::array<double, 3> height{heights_[to_index(t[0])], heights_[to_index(t[1])],
                                     heights_[to_index(t[2])]};
  if (std::max({height[0], height[1], height[2]}) <= kContactReach_mm) {
    share = 1;
  } else {
    const std::array<Vec2, 3> at{flat_[to_index(t[0])], flat_[to_index(t[1])],
                                 flat_[to_index(t[2])]};
    const Clipped part = clip_under(at, height, kContactReach_mm);
    for (std::size_t i = 0; i < part.count; ++i) footprint_.push_back(part.corners[i]);
    share = std::min(1.0, part.area_mm2() / projected);
  }
  footing.contact_mm2 += projected * share;
  if (facts_.solid->origins()[f].kind == OriginKind::skin) {
    footing.skin_contact_mm2 += projected * share;
  }
}

void FootingMaker::add_face(std::size_t f, Footing& footing) {
  const double facing = dot(facts_.area_normals[f], footing.down);
  if (facing <= 0) return;
  const Triangle& t = facts_.solid->triangles()[f];
  const double lowest =
      std::min({heights_[to_index(t[0])], heights_[to_index(t[1])], heights_[to_index(t[2])]});
  double share = 0;
  if (lowest <= kContactReach_mm) add_contact_part(f, facing / 2, footing, share);
  if (share == 1 || facing <= support_cosine_ * facts_.double_areas[f]) return;
  const OriginKind kind = facts_.solid->origins()[f].kind;
  if (kind != OriginKind::skin && kind != OriginKind::cap) return;
  footing.support_mm2 += facts_.double_areas[f] / 2 * (1 - share);
  footing.propped_mm2 += facing / 2 * (1 - share);
  if (on_supports_) {
    legs_.add({flat_[to_index(t[0])], flat_[to_index(t[1])], flat_[to_index(t[2])]},
              facing / 2 * (1 - share), footprint_);
  }
}

void FootingMaker::weigh(Footing& footing, bool on_supports) {
  on_supports_ = on_supports;
  footprint_.clear();
  for (std::size_t i = 0; i < heights_.size(); ++i) {
    if (heights_[i] <= kContactReach_mm) footprint_.push_back(flat_[i]);
  }
  for (std::size_t f = 0; f < facts_.area_normals.size(); ++f) add_face(f, footing);
  legs_.finish(footprint_);
  const std::vector<Vec2> base = outline_of(footprint_);
  const Vec2 center{dot(footing.u, facts_.centroid), dot(footing.v, facts_.centroid)};
  const double over_bed = footing.bed_mm - dot(footing.down, facts_.centroid);
  footing.tip_angle =
      Angle::radians(std::atan2(depth_inside(base, center), std::max(over_bed, 0.0)));
  // Without a width the ratio is only "beyond any rule", kept finite for those who write it down.
  footing.slenderness_ratio = footing.height_mm / std::max(least_width(base), 1e-6);
}

}  // namespace seamwright::pose_detail
