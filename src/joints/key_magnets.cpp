#include <fmt/format.h>

#include "joints/key_features.h"
#include "joints/key_planner.h"
#include "joints/outlines.h"

namespace seamwright::joints {
namespace {

/// Plastic that a key keeps free beside itself, as a share of its radius. Assumption.
constexpr double kBeside_ratio = 0.5;

/// How far a magnet's seat reaches from its middle: the pole's dimple stands beside it.
double rim_mm(double diameter_mm) {
  return diameter_mm / 2 + kPoleDimpleReach_mm;
}

}  // namespace

/// Where there is room beside the dowels, up to four, each as far from all keys as can be; those of
/// a printed piece where they are.
std::vector<PlacedKey> KeyPlanner::magnet_places(const FaceContext& context,
                                                 const Joint& joint) const {
  constexpr std::size_t kMostMagnets = 4;
  std::vector<PlacedKey> places = kept_keys(context, KeyKind::magnet);
  if (!places.empty()) return places;
  const PlaneFrame frame(context.plane);
  const double diameter_mm = inputs_.joinery.magnet_diameter_mm;
  const double depth_mm = inputs_.joinery.magnet_height_mm + kMagnetDeeper_mm;
  const double rim = rim_mm(diameter_mm);
  const auto room_mm = [&](Vec2 a, Vec2 b, double other_radius_mm) {
    return norm(a - b) - (1 + kBeside_ratio) * other_radius_mm - rim;
  };
  while (places.size() < kMostMagnets) {
    const KeySpot* best = nullptr;
    double farthest_mm = 0;
    for (const KeySpot& spot : context.spots) {
      double nearest_mm = 1e9;
      for (const Key& key : joint.keys)
        nearest_mm =
            std::min(nearest_mm, room_mm(frame.flatten(key.at), spot.at, key.diameter_mm / 2));
      for (const PlacedKey& place : places)
        nearest_mm = std::min(nearest_mm, room_mm(place.at, spot.at, rim));
      if (nearest_mm < inputs_.joinery.wall_to_skin_mm || nearest_mm <= farthest_mm) continue;
      if (region_edge_distance_mm(context.face->region, spot.at) < rim + kPoleDimpleWall_mm)
        continue;
      if (!has_room(context, Side::above, spot.at, diameter_mm, depth_mm, false) ||
          !has_room(context, Side::below, spot.at, diameter_mm, depth_mm, false))
        continue;
      best = &spot;
      farthest_mm = nearest_mm;
    }
    if (best == nullptr) break;
    places.push_back({best->at, diameter_mm, depth_mm});
  }
  return places;
}

/// Disc magnets, a pair at each place.
void KeyPlanner::take_magnets(const FaceContext& context, Joint& joint) {
  const PlaneFrame frame(context.plane);
  const std::vector<PlacedKey> places = magnet_places(context, joint);
  for (const PlacedKey& place : places) {
    joint.keys.push_back({KeyKind::magnet,
                          frame.lift(place.at),
                          context.plane.normal,
                          place.diameter_mm,
                          place.depth_mm,
                          kMagnetClearance_mm,
                          {}});
    for (Side which : {Side::above, Side::below}) {
      const CapFrame& side = context.side(which).frame;
      const Vec2 at = side.from_plane(place.at);
      taken_[to_index(context.piece(which))].push_back(
          {side.lift(at), side.lift(at, -place.depth_mm), rim_mm(place.diameter_mm)});
    }
  }
  joint.is_glued = false;
  if (!places.empty()) joint.kind = KeyKind::magnet;
  if (places.size() < 2) {
    warn("travel-joint-loose",
         fmt::format(
             "{} should come apart again, but has room for {} of {:.0f} x {:.0f} mm. Hold it "
             "with tape or clips on the hidden side, or take smaller magnets",
             joint_name(inputs_, *context.face),
             places.empty() ? "no pair of magnets" : "one pair of magnets only",
             inputs_.joinery.magnet_diameter_mm, inputs_.joinery.magnet_height_mm));
  }
}

}  // namespace seamwright::joints
