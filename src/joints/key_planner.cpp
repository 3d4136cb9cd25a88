#include "joints/key_planner.h"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>

#include "joints/key_features.h"
#include "joints/outlines.h"

namespace seamwright::joints {
namespace {

constexpr double kFitTolerance_mm = 2e-6;  // the pose room's own
constexpr double kThinWall_mm = 6;         // below: only filament fits as a dowel
constexpr double kThinnestRod_mm = 1.75;   // filament
constexpr double kThickWall_mm = 10;       // from here 4 mm rod

/// Common practice, no source: filament ends in thin walls, 3 and 4 mm rod above, printed pins from
/// 6 mm.
std::vector<double> diameters_mm(double width_mm, bool is_pin) {
  if (is_pin) return {8, 6};
  if (width_mm < kThinWall_mm) return {kThinnestRod_mm};
  if (width_mm < kThickWall_mm) return {3, kThinnestRod_mm};
  return {4, 3, kThinnestRod_mm};
}

/// Depths to try, as multiples of the diameter: loose rods hold by depth, printed pins are stiff
/// enough short, and make the piece larger. Assumption.
std::array<double, 3> depth_ratios(bool is_pin) {
  return is_pin ? std::array{1.5, 1.25, 1.0} : std::array{2.5, 2.0, 1.5};
}

Side other(Side side) {
  return side == Side::above ? Side::below : Side::above;
}

}  // namespace

KeyPlanner::KeyPlanner(const JointInputs& inputs) : inputs_(inputs), taken_(inputs.pieces.size()) {
  for (const PosedPiece& piece : inputs.pieces) {
    Box3 box;
    for (Vec3 p : piece.cut->solid.points()) box.extend(piece.pose.bed_from_part.apply(p));
    bed_boxes_.push_back(box);
  }
}

bool KeyPlanner::has_room(const FaceContext& context, Side which, Vec2 at, double diameter_mm,
                          double depth_mm, bool is_male) const {
  const FaceSide& side = context.side(which);
  const Vec2 center = side.frame.from_plane(at);
  // A pin needs a solid root as deep as half its width.
  const double radius =
      is_male ? diameter_mm / 2 : hole_radius_mm(diameter_mm, side, inputs_.joinery);
  const double depth = is_male ? diameter_mm / 2 : depth_mm;
  const Loop2 outline =
      is_male ? inscribed_circle(center, radius) : circumscribed_hole(center, radius, side.roof);
  const Vec3 mouth = side.frame.lift(center), floor = side.frame.lift(center, -depth);
  const double widest = !is_male && side.roof ? radius * std::numbers::sqrt2 : radius;
  for (const TakenPlace& place : taken_[to_index(context.piece(which))]) {
    const double between = segments_distance_mm(mouth, floor, place.from, place.to);
    if (between < widest + place.radius_mm + inputs_.joinery.wall_to_skin_mm) return false;
  }
  return hole_keeps_wall(side, context.near(which), center, radius, outline, depth,
                         inputs_.joinery.wall_to_skin_mm);
}

std::optional<double> KeyPlanner::depth_at(const FaceContext& context, Vec2 at, double diameter_mm,
                                           std::optional<Side> male) const {
  const double least_room =
      diameter_mm / 2 + inputs_.joinery.slide_clearance_mm + inputs_.joinery.wall_to_skin_mm;
  if (region_edge_distance_mm(context.face->region, at) < least_room) return {};
  const auto has_room_to = [&](double depth_mm) {
    return has_room(context, Side::above, at, diameter_mm, depth_mm, male == Side::above) &&
           has_room(context, Side::below, at, diameter_mm, depth_mm, male == Side::below);
  };
  const auto [deep, middle, least] = depth_ratios(male.has_value());
  if (!has_room_to(least * diameter_mm)) return {};  // most places that fail, fail here
  for (double ratio : {deep, middle}) {
    if (has_room_to(ratio * diameter_mm)) return ratio * diameter_mm;
  }
  return least * diameter_mm;
}

KeyLayout KeyPlanner::lay_out(const FaceContext& context, std::optional<Side> male) const {
  const Joinery& joinery = inputs_.joinery;
  LayoutRules rules;
  rules.diameters_mm = diameters_mm(context.width_mm, male.has_value());
  rules.gap_mm = joinery.wall_to_skin_mm;
  rules.hole_extra_mm = 2 * (joinery.slide_clearance_mm + joinery.lying_hole_extra_mm);
  return lay_out_keys(context.face->region, context.spots, rules, [&](Vec2 at, double diameter_mm) {
    return depth_at(context, at, diameter_mm, male);
  });
}

Box3 KeyPlanner::box_with_pins(const FaceContext& context, Side male,
                               const KeyLayout& layout) const {
  const std::size_t piece = to_index(context.piece(male));
  const FaceSide& side = context.side(male);
  Box3 box = bed_boxes_[piece];
  for (const PlacedKey& key : layout.keys) {
    const CapFeature pin = make_pin(side.frame.from_plane(key.at), key.diameter_mm / 2,
                                    key.depth_mm - kTipRoom_mm, {});
    for (const Ring& ring : pin.rings) {
      for (Vec2 p : ring.points) {
        box.extend(
            inputs_.pieces[piece].pose.bed_from_part.apply(side.frame.lift(p, ring.height_mm)));
      }
    }
  }
  return box;
}

bool KeyPlanner::pins_fit(const FaceContext& context, Side male, const KeyLayout& layout) const {
  const Box3 box = box_with_pins(context, male, layout);
  const Vec3 size = box.size(), usable = inputs_.pieces[to_index(context.piece(male))].usable_mm;
  return box.low.z >= -1e-6 && size.x <= usable.x + kFitTolerance_mm &&
         size.y <= usable.y + kFitTolerance_mm && box.high.z <= usable.z + kFitTolerance_mm;
}

/// Pins on the side whose cap is off the bed and whose piece still fits with them.
std::optional<KeyLayout> KeyPlanner::lay_out_pins(const FaceContext& context, Side& male) {
  const Side first = context.above.is_on_bed ? Side::below : Side::above;
  bool had_room = false;
  for (Side side : {first, other(first)}) {
    if (context.side(side).is_on_bed) continue;
    KeyLayout layout = lay_out(context, side);
    if (layout.keys.size() < 2) continue;
    had_room = true;
    if (!pins_fit(context, side, layout)) continue;
    male = side;
    return layout;
  }
  const std::string name = joint_name(inputs_, *context.face);
  if (had_room) {
    warn("key-does-not-fit-pose",
         fmt::format("{} gets loose dowels instead of pins: with pins on it neither piece "
                     "fits its printer as it stands",
                     name));
  } else if (context.above.is_on_bed && context.below.is_on_bed) {
    warn("key-does-not-fit-pose",
         fmt::format("{} gets loose dowels instead of pins: both its faces lie on the bed", name));
  } else {
    warn("key-does-not-fit-face",
         fmt::format("{} gets loose dowels instead of pins: it has no room for two pins of "
                     "6 mm",
                     name));
  }
  return {};
}

void KeyPlanner::warn_of_few(const FaceContext& context, const KeyLayout& layout) {
  const std::string name = joint_name(inputs_, *context.face);
  if (layout.keys.empty()) {
    warn("joint-without-key",
         fmt::format("{} gets no key: {}. Glue it butt and put a strip over the seam on the "
                     "hidden side, or move the seam",
                     name, why_no_key(context)));
  } else if (layout.keys.size() == 1) {
    warn("joint-with-one-key",
         fmt::format("{} has room for one key only: the piece can turn on it. Line the outlines "
                     "up by hand while the glue sets",
                     name));
  } else if (layout.misfit_mm < LayoutRules{}.least_misfit_mm) {
    warn("joint-can-turn",
         fmt::format("{} also goes together turned, {:.1f} mm off at most. Follow the marks", name,
                     layout.misfit_mm));
  }
}

std::string KeyPlanner::why_no_key(const FaceContext& context) const {
  const double wall = inputs_.joinery.wall_to_skin_mm;
  const double needed = kThinnestRod_mm + 2 * inputs_.joinery.slide_clearance_mm + 2 * wall;
  if (context.width_mm < needed) {
    return fmt::format(
        "it is {:.1f} mm wide at most, and the thinnest dowel, {:.2f} mm, needs {:.1f} mm with "
        "{:.1f} "
        "mm of wall round it",
        context.width_mm, kThinnestRod_mm, needed, wall);
  }
  return fmt::format(
      "it is {:.1f} mm wide, but within {:.1f} mm behind it, the least depth of a hole, the body "
      "leans "
      "away or ends, and less than {:.1f} mm of wall would be left",
      context.width_mm, 1.5 * kThinnestRod_mm, wall);
}

void KeyPlanner::take(const FaceContext& context, const KeyLayout& layout, std::optional<Side> male,
                      Joint& joint) {
  const PlaneFrame frame(context.plane);
  for (const PlacedKey& placed : layout.keys) {
    Key key{joint.kind,
            frame.lift(placed.at),
            context.plane.normal,
            placed.diameter_mm,
            placed.depth_mm,
            inputs_.joinery.slide_clearance_mm,
            {}};
    if (male) key.male = context.piece(*male);
    joint.keys.push_back(key);
    for (Side which : {Side::above, Side::below}) {
      const FaceSide& side = context.side(which);
      const double radius = hole_radius_mm(placed.diameter_mm, side, inputs_.joinery);
      const Vec2 center = side.frame.from_plane(placed.at);
      taken_[to_index(context.piece(which))].push_back(
          {side.frame.lift(center), side.frame.lift(center, -placed.depth_mm),
           side.roof ? radius * std::numbers::sqrt2 : radius});
    }
  }
  if (male) bed_boxes_[to_index(context.piece(*male))] = box_with_pins(context, *male, layout);
}

Joint KeyPlanner::plan(const FaceContext& context) {
  Joint joint{*context.face, KeyKind::none, true, {}};
  if (inputs_.joinery.key == KeyKind::none) return joint;
  std::optional<KeyLayout> layout;
  std::optional<Side> male;
  if (inputs_.joinery.key == KeyKind::pin) {
    Side chosen = Side::above;
    layout = lay_out_pins(context, chosen);
    if (layout) male = chosen;
  }
  if (!layout) layout = lay_out(context, {});
  warn_of_few(context, *layout);
  if (layout->keys.empty()) return joint;
  joint.kind = male ? KeyKind::pin : KeyKind::dowel;
  take(context, *layout, male, joint);
  return joint;
}

std::vector<Pose> KeyPlanner::poses() const {
  std::vector<Pose> poses;
  for (std::size_t i = 0; i < inputs_.pieces.size(); ++i) {
    Pose pose = inputs_.pieces[i].pose;
    Box3 bare;
    for (Vec3 p : inputs_.pieces[i].cut->solid.points()) bare.extend(pose.bed_from_part.apply(p));
    const Box3& box = bed_boxes_[i];
    if (box.low == bare.low && box.high == bare.high) {
      poses.push_back(pose);
      continue;
    }
    pose.bed_from_part.shift += Vec3{bare.low.x - box.low.x, bare.low.y - box.low.y, 0};
    pose.size_mm = box.size();
    poses.push_back(pose);
  }
  return poses;
}

}  // namespace seamwright::joints
