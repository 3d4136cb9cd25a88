#include "joints/key_features.h"

#include "joints/outlines.h"

namespace seamwright::joints {
namespace {

Loop2 scaled(const Loop2& loop, Vec2 center, double ratio) {
  Loop2 out;
  for (Vec2 p : loop) out.push_back(center + (p - center) * ratio);
  return out;
}

}  // namespace

CapFeature make_hole(const FaceSide& side, Vec2 center, double radius_mm, double depth_mm,
                     double bevel_mm, Origin origin) {
  const Loop2 outline = circumscribed_hole(center, radius_mm, side.roof);
  CapFeature hole{{}, origin};
  if (bevel_mm > 0) {
    hole.rings.push_back({scaled(outline, center, (radius_mm + bevel_mm) / radius_mm), 0});
    hole.rings.push_back({outline, -bevel_mm});
  } else {
    hole.rings.push_back({outline, 0});
  }
  hole.rings.push_back({outline, -depth_mm});
  return hole;
}

CapFeature make_pole_dimple(const FaceSide& side, Vec2 seat, double radius_mm, Origin origin) {
  const Vec2 away = side.roof ? -*side.roof : Vec2{1, 0};
  const Vec2 at = seat + away * (radius_mm + kPoleDimpleWall_mm + kPoleDimple_mm);
  const Loop2 outline = circumscribed_hole(at, kPoleDimple_mm);
  return {{{outline, 0}, {outline, -kPoleDimpleDeep_mm}}, origin};
}

CapFeature make_pin(Vec2 center, double radius_mm, double length_mm, Origin origin) {
  const double chamfer_mm = std::min(0.3 * radius_mm, 0.3 * length_mm);
  const Loop2 outline = inscribed_circle(center, radius_mm);
  return {{{outline, 0},
           {outline, length_mm - chamfer_mm},
           {scaled(outline, center, 1 - chamfer_mm / radius_mm), length_mm}},
          origin};
}

}  // namespace seamwright::joints
