#include "wiring/place_pocket.h"

#include <fmt/format.h>

#include <cmath>
#include <limits>

#include "wiring/sweep_rings.h"

namespace seamwright::wiring_detail {
namespace {

constexpr double kOverSkinMm = 1.0;  // a tool that ends in the skin would leave a knife edge
constexpr double kCableMm = 3;       // room behind a module, at least; common practice
constexpr double kLedgeMm = 0.6;     // the module rests on it; common practice
constexpr double kFloorMm = 1.6;
constexpr double kBallMm = 0.05, kRoomMm = 0.3;  // round the bores that open behind a module
constexpr double kBossBesideBoreMm = 2.8;        // a ridge's half width over its bore, and 0.8
constexpr double kNearMm = 3;  // the skin's normal is a mean over so much round the place
constexpr double kThinWallMm = 8;
constexpr std::size_t kRoundSides = 40;
// Fans of end faces meet beside the axis: ridges and tunnels have points on it.
constexpr double kAsideMm = 0.23;

/// The skin's mean normal round a place: of eight rays from outside and the face itself.
Vec3 mean_normal(const Solid& part, const RayTree& body, Vec3 at, Vec3 normal) {
  const Vec3 right = any_perpendicular(normal), up = cross(normal, right);
  Vec3 sum = normal;
  for (int k = 0; k < 8; ++k) {
    const double angle = 2 * std::numbers::pi * k / 8;
    const Vec3 beside = at + (right * std::cos(angle) + up * std::sin(angle)) * kNearMm;
    const auto hit = body.first_hit(beside + normal * 4, -normal, 0);
    if (hit && !hit->from_behind && hit->distance_mm < 8)
      sum += normalized(part.area_normal(hit->face));
  }
  return normalized(sum);
}

struct SkinPlace {
  Vec3 point;
  FaceId face{};
};

/// Of a thin wall's two sides the one that is seen, when that is known.
SkinPlace seen_side(SkinPlace near, const Solid& part, const RayTree& body,
                    std::span<const double> sight) {
  if (sight.empty()) return near;
  const Vec3 inward = -normalized(part.area_normal(near.face));
  const auto other = body.first_hit(near.point + inward * 0.05, inward, 0);
  if (!other || other->distance_mm > kThinWallMm) return near;
  if (sight[to_index(other->face)] < sight[to_index(near.face)] + 0.2) return near;
  return {near.point + inward * (other->distance_mm + 0.05), other->face};
}

double half_size(const PocketSpec& spec, double size_mm) {
  const double clearance_mm =
      spec.fit == PocketFit::press ? spec.press_clearance_mm : spec.glue_clearance_mm;
  return size_mm / 2 + clearance_mm;
}

/// A closed outline round the seat's axis at a depth; `grow_mm` more on every side.
std::vector<Vec3> outline(const PlacedPocket& p, double half_across, double half_along,
                          double depth_mm) {
  const Vec3 middle = p.pocket.at + p.pocket.axis * depth_mm;
  if (p.pocket.shape == PocketShape::round)
    return circle_round(middle, p.across, p.along, half_across, kRoundSides);
  // Sides in steps, so that a boss can follow the wall between its corners.
  std::vector<Vec3> ring;
  constexpr int kSteps = 8;
  const Vec2 corner[] = {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}};
  for (int side = 0; side < 4; ++side) {
    const Vec2 a = corner[side], b = corner[(side + 1) % 4];
    for (int k = 0; k < kSteps; ++k) {
      const Vec2 q = a + (b - a) * (static_cast<double>(k) / kSteps);
      ring.push_back(middle + p.across * (q.x * half_across) + p.along * (q.y * half_along));
    }
  }
  return ring;
}

Solid prism(const PlacedPocket& p, double half_across, double half_along, double from_mm,
            double to_mm, Origin origin) {
  return sweep_rings(
      {outline(p, half_across, half_along, from_mm), outline(p, half_across, half_along, to_mm)},
      p.pocket.at + p.pocket.axis * from_mm, p.pocket.at + p.pocket.axis * to_mm, origin);
}

}  // namespace

std::string place_words(Vec3 p) {
  return fmt::format("({:.1f}, {:.1f}, {:.1f})", p.x, p.y, p.z);
}

Result<PlacedPocket> place_pocket(const PocketSpec& spec, const Solid& part, const RayTree& body,
                                  std::span<const double> sight) {
  PlacedPocket placed;
  Pocket& pocket = placed.pocket;
  pocket.name = spec.name;
  pocket.shape = spec.shape;
  pocket.module_depth_mm = spec.depth_mm;
  if (spec.direction) {
    pocket.axis = normalized(*spec.direction);
    const auto hit = body.first_hit(spec.at - pocket.axis * 1.0, pocket.axis, 0);
    if (norm(pocket.axis) == 0 || !hit || hit->from_behind) {
      return Error{"pocket-no-skin",
                   fmt::format("pocket \"{}\": the ray from {} along its direction meets no skin "
                               "from outside",
                               spec.name, place_words(spec.at))};
    }
    pocket.at = spec.at + pocket.axis * (hit->distance_mm - 1.0);
  } else {
    const auto nearest = body.nearest(spec.at, 30);
    if (!nearest)
      return Error{"pocket-no-skin", fmt::format("pocket \"{}\": no skin within 30 mm of {}",
                                                 spec.name, place_words(spec.at))};
    const SkinPlace skin = seen_side({nearest->point, nearest->face}, part, body, sight);
    pocket.at = skin.point;
    pocket.axis = -mean_normal(part, body, skin.point, normalized(part.area_normal(skin.face)));
  }
  placed.across = any_perpendicular(pocket.axis);
  placed.along = pocket.along = cross(pocket.axis, placed.across);
  placed.half_across_mm = half_size(spec, spec.size_mm);
  placed.half_along_mm = spec.shape == PocketShape::strip
                             ? half_size(spec, spec.length_mm.value_or(3 * spec.size_mm))
                             : placed.half_across_mm;
  placed.ledge_mm = placed.half_across_mm > 3 * kLedgeMm ? kLedgeMm : 0.0;
  const auto other = body.first_hit(pocket.at + pocket.axis * 0.2, pocket.axis, 0);
  placed.wall_depth_mm = other ? other->distance_mm + 0.2 : std::numeric_limits<double>::infinity();
  return placed;
}

void fit_pocket(PlacedPocket& placed, const PocketSpec& spec, double bore_mm) {
  placed.behind_mm = std::max(kCableMm, bore_mm + 0.5);
  const double hole_mm = placed.half_across_mm - placed.ledge_mm;
  placed.room_half_mm = bore_mm / 2 > hole_mm - kBallMm ? bore_mm / 2 + kRoomMm : hole_mm;
  double deep_mm = spec.depth_mm + placed.behind_mm;
  const double round_mm =
      std::max({placed.half_across_mm, placed.half_along_mm, placed.room_half_mm}) + spec.wall_mm;
  if (placed.wall_depth_mm < deep_mm + spec.wall_mm) {
    // The ridge's tunnel lies over the wall's other side; the seat reaches to its top.
    deep_mm = std::max(deep_mm, placed.wall_depth_mm + 0.5 + bore_mm + 0.5);
    placed.behind_mm = deep_mm - spec.depth_mm;
    placed.boss_half_mm = std::max(placed.half_across_mm + spec.wall_mm,
                                   bore_mm > 0 ? bore_mm / 2 + kBossBesideBoreMm : 0.0);
    placed.pocket.has_boss = true;
  }
  placed.pocket.side_mm = std::max({spec.wall_mm, placed.boss_half_mm - placed.half_across_mm,
                                    placed.room_half_mm + spec.wall_mm - placed.half_across_mm});
  placed.pocket.size_mm = {2 * placed.half_across_mm, 2 * placed.half_along_mm, deep_mm};
  placed.pocket.reach_mm = std::hypot(round_mm, deep_mm / 2 + spec.wall_mm);
}

bool passes_hole(const PlacedPocket& placed, Vec3 connector_mm) {
  const double wide_mm = 2 * (placed.half_across_mm - placed.ledge_mm);
  if (placed.pocket.shape != PocketShape::strip)
    return std::hypot(connector_mm.x, connector_mm.y) <= wide_mm + 1e-9;
  // Its longer side lies along the strip.
  return std::min(connector_mm.x, connector_mm.y) <= wide_mm + 1e-9 &&
         std::max(connector_mm.x, connector_mm.y) <=
             2 * (placed.half_along_mm - placed.ledge_mm) + 1e-9;
}

double passing_size_mm(const PlacedPocket& placed, const PocketSpec& spec, Vec3 connector_mm) {
  const double needed_mm = placed.pocket.shape == PocketShape::strip
                               ? std::min(connector_mm.x, connector_mm.y)
                               : std::hypot(connector_mm.x, connector_mm.y);
  return std::ceil(10 * (needed_mm + 2 * kLedgeMm - 2 * half_size(spec, 0)) - 1e-9) / 10;
}

std::vector<Tool> boss_of(const PlacedPocket& placed, const PocketSpec& spec, const RayTree& body,
                          std::uint32_t id) {
  if (!placed.pocket.has_boss) return {};
  const double grow = placed.boss_half_mm - placed.half_across_mm;
  const double half_across = placed.boss_half_mm, half_along = placed.half_along_mm + grow;
  const double end_mm = placed.pocket.size_mm.z + kFloorMm;
  std::vector<Vec3> base = outline(placed, half_across, half_along, 0);
  for (Vec3& p : base) {
    // Each corner stands inside the wall, found by rays from outside.
    const Vec3 start = p - placed.pocket.axis * 6;
    const auto skin = body.first_hit(start, placed.pocket.axis, 0);
    const double skin_mm = skin && !skin->from_behind ? skin->distance_mm - 6 : 0.0;
    const auto other =
        body.first_hit(start + placed.pocket.axis * (skin_mm + 6.05), placed.pocket.axis, 0);
    const double wall_mm = other ? other->distance_mm : placed.wall_depth_mm;
    // Off the middle, where a ridge's underside lies: nearly equal planes are what booleans fail
    // on.
    const double base_mm = wall_mm > 2.8 ? wall_mm - 1.9 : 0.35 * wall_mm;
    p += placed.pocket.axis * (skin_mm + std::min(base_mm, end_mm - 1));
  }
  Vec3 middle;
  for (const Vec3& p : base) middle += p / static_cast<double>(base.size());
  const Vec3 aside = placed.across * kAsideMm + placed.along * (1.4 * kAsideMm);
  return {{fmt::format("pocket \"{}\"", spec.name),
           sweep_rings({base, outline(placed, half_across, half_along, end_mm)}, middle + aside,
                       placed.pocket.at + placed.pocket.axis * end_mm + aside,
                       {OriginKind::pocket, id})}};
}

std::vector<Tool> seat_of(const PlacedPocket& placed, const PocketSpec& spec, std::uint32_t id) {
  const Origin origin{OriginKind::pocket, id};
  const double ledge = placed.ledge_mm;
  const double deep_mm = placed.pocket.size_mm.z;
  const std::string name = fmt::format("pocket \"{}\"", spec.name);
  Rings rings;
  const auto add = [&](double shrink, double depth_mm) {
    rings.push_back(
        outline(placed, placed.half_across_mm - shrink, placed.half_along_mm - shrink, depth_mm));
  };
  add(0, -kOverSkinMm);
  add(0, spec.depth_mm);
  if (ledge > 0) add(ledge, spec.depth_mm + ledge);
  // A bore wider than that hole opens into a wider room, which begins at 45°.
  const double wider = std::min(placed.room_half_mm - (placed.half_across_mm - ledge),
                                deep_mm - spec.depth_mm - ledge - kCableMm / 2);
  if (wider > 0.05) {
    add(ledge, spec.depth_mm + ledge + 0.01);
    add(ledge - wider, spec.depth_mm + ledge + wider);
  }
  add(ledge - std::max(0.0, wider), deep_mm);
  std::vector<Tool> tools{
      {name, sweep_rings(rings, placed.pocket.at - placed.pocket.axis * kOverSkinMm,
                         placed.pocket.at + placed.pocket.axis * deep_mm, origin)}};
  if (spec.flange_mm) {
    const double half = half_size(spec, *spec.flange_mm);
    tools.push_back({name, prism(placed, half, placed.half_along_mm + half - placed.half_across_mm,
                                 -kOverSkinMm - 0.3, spec.flange_depth_mm, origin)});
  }
  return tools;
}

double pocket_wall_mm(const PlacedPocket& placed, const RayTree& body) {
  // Measured in the part with its bosses, before seats are cut: how deep the seat's walls lie.
  double least_mm = std::numeric_limits<double>::infinity();
  for (const double share : {0.5, 0.75, 1.0}) {
    const double depth_mm = placed.pocket.size_mm.z * share;
    for (const Vec3& p : outline(placed, placed.half_across_mm, placed.half_along_mm, depth_mm)) {
      const auto nearest = body.nearest(p);
      const double sign = body.contains(p) ? 1 : -1;
      // The mouth's own skin lies ahead, not beside.
      const double deep_mm = dot(nearest->point - placed.pocket.at, placed.pocket.axis);
      if (deep_mm < 0.25 * depth_mm && sign > 0) continue;
      least_mm = std::min(least_mm, sign * nearest->distance_mm);
    }
  }
  return least_mm;
}

}  // namespace seamwright::wiring_detail
