#include "joints/key_planner.h"

#include <fmt/format.h>

#include <algorithm>
#include <numbers>

#include "joints/groove_places.h"
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

/// Of tongues in thin walls, where a wall leans. Assumption.
constexpr double kThinnestLip_mm = 0.4;

}  // namespace

KeyPlanner::KeyPlanner(const JointInputs& inputs) : inputs_(inputs), taken_(inputs.pieces.size()) {
  for (const PosedPiece& piece : inputs.pieces) {
    Box3 box;
    for (Vec3 p : piece.cut->solid.points()) box.extend(piece.pose.bed_from_part.apply(p));
    bare_boxes_.push_back(box);
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

LayoutRules KeyPlanner::rules_for(const FaceContext& context, std::optional<Side> male,
                                  const Others& others) const {
  const Joinery& joinery = inputs_.joinery;
  LayoutRules rules;
  rules.diameters_mm = diameters_mm(context.width_mm, male.has_value());
  rules.gap_mm = joinery.wall_to_skin_mm;
  rules.has_teardrops = context.above.roof || context.below.roof;
  rules.reach_mm = joinery.spacing_mm / 2;  // no place of a row is further from its nearer key
  rules.others = others.layouts;
  rules.least_depth_ratio = depth_ratios(male.has_value()).back();
  rules.hole_extra_mm = 2 * (joinery.slide_clearance_mm + joinery.lying_hole_extra_mm);
  return rules;
}

KeyLayout KeyPlanner::lay_out(const FaceContext& context, std::optional<Side> male,
                              const Others& others, std::optional<int> round) const {
  LayoutRules rules = rules_for(context, male, others);
  rules.thorough_round = round;
  if (round && !male) rules.diameters_mm = diameters_mm(kThickWall_mm, false);
  return lay_out_keys(context.face->region, context.spots, rules, [&](Vec2 at, double diameter_mm) {
    return depth_at(context, at, diameter_mm, male);
  });
}

Box3 KeyPlanner::box_with_pins(const FaceContext& context, Side male,
                               const KeyLayout& layout) const {
  const std::size_t piece = to_index(context.piece(male));
  const FaceSide& side = context.side(male);
  Box3 box = bed_box(piece);
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

bool KeyPlanner::fits_with(const FaceContext& context, Side male, const Box3& box) const {
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
    KeyLayout layout = lay_out(context, side, others_of(joint_));
    if (layout.keys.size() < 2) continue;
    had_room = true;
    if (!fits_with(context, side, box_with_pins(context, side, layout))) continue;
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

JointWarning KeyPlanner::shortfall_of(std::size_t joint) const {
  const FaceContext& context = *laid_[joint].context;
  const std::string name = joint_name(inputs_, *context.face);
  const std::size_t count = laid_[joint].layout.keys.size();
  if (count == 0) {
    return {"joint-without-key", fmt::format("{} gets no key: {}", name, why_no_key(context)),
            joint};
  }
  if (count == 1) {
    return {"joint-with-one-key",
            fmt::format("{} has room for one key only: the piece can turn on it. Line the outlines "
                        "up by hand while the glue sets",
                        name)};
  }
  const KeyLayout layout = judged_with_outline(joint);
  if (layout.misfit_mm < kLeastMisfit_mm) {
    return {"joint-can-turn",
            fmt::format("{} also goes together turned, {:.1f} mm off at most. Follow the marks",
                        name, layout.misfit_mm)};
  }
  if (layout.pairing_misfit_mm < kLeastMisfit_mm) {
    const FaceContext& rival = *laid_[layout.pairing_with].context;
    return {"joints-can-be-mixed-up",
            fmt::format("{} also goes together with a piece of {}, {:.1f} mm off at most. Follow "
                        "the marks",
                        name, joint_name(inputs_, *rival.face), layout.pairing_misfit_mm)};
  }
  return {};
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

void KeyPlanner::take(std::size_t index, const Laid& laid, Joint& joint) {
  const FaceContext& context = *laid.context;
  const PlaneFrame frame(context.plane);
  for (const PlacedKey& placed : laid.layout.keys) {
    Key key{joint.kind,
            frame.lift(placed.at),
            context.plane.normal,
            placed.diameter_mm,
            placed.depth_mm,
            inputs_.joinery.slide_clearance_mm,
            {}};
    if (laid.male) key.male = context.piece(*laid.male);
    joint.keys.push_back(key);
    for (Side which : {Side::above, Side::below}) {
      const FaceSide& side = context.side(which);
      const double radius = hole_radius_mm(placed.diameter_mm, side, inputs_.joinery);
      const Vec2 center = side.frame.from_plane(placed.at);
      taken_[to_index(context.piece(which))].push_back(
          {side.frame.lift(center), side.frame.lift(center, -placed.depth_mm),
           side.roof ? radius * std::numbers::sqrt2 : radius, index});
    }
  }
  if (laid.male)
    protrusions_.push_back({index, to_index(context.piece(*laid.male)),
                            box_with_pins(context, *laid.male, laid.layout)});
}

bool KeyPlanner::keeps_from_taken(const FaceContext& context, const Loop2& outline,
                                  double depth_mm) const {
  const std::array sides{Side::above, Side::below};
  return std::all_of(sides.begin(), sides.end(), [&](Side side) {
    return keeps_between(groove_places(context.side(side).frame, outline, depth_mm, joint_),
                         taken_[to_index(context.piece(side))], inputs_.joinery.wall_to_skin_mm);
  });
}

/// Tongues on a side whose cap is off the bed and whose piece still fits with them.
std::optional<KeyPlanner::Tongues> KeyPlanner::find_tongues(const FaceContext& context,
                                                            double height_mm,
                                                            const TongueRules& rules) const {
  for (Side male : {Side::above, Side::below}) {
    if (context.side(male).is_on_bed) continue;
    const double bevel_mm = context.side(other(male)).is_on_bed ? inputs_.joinery.relief_mm : 0;
    if (height_mm < least_tongue_mm(bevel_mm)) continue;
    const Solid& female = inputs_.pieces[to_index(context.piece(other(male)))].cut->solid;
    Tongues found{male, height_mm + kTipRoom_mm, {}, bed_box(to_index(context.piece(male)))};
    found.grooves = groove_outlines(context, female, other(male), found.depth_mm, rules);
    std::erase_if(found.grooves, [&](const Loop2& groove) {
      return !keeps_from_taken(context, groove, found.depth_mm);
    });
    if (found.grooves.empty()) continue;
    const CapFrame& frame = context.side(male).frame;
    for (const Loop2& groove : found.grooves) {
      for (Vec2 p : groove)
        found.box.extend(inputs_.pieces[to_index(context.piece(male))].pose.bed_from_part.apply(
            frame.lift(frame.from_plane(p), height_mm)));
    }
    if (fits_with(context, male, found.box)) return found;
  }
  return {};
}

void KeyPlanner::take_tongues(const FaceContext& context, const Tongues& found, Joint& joint) {
  protrusions_.push_back({joint_, to_index(context.piece(found.male)), found.box});
  const double lip_mm = thinnest_lip_mm(context, other(found.male), found.grooves, found.depth_mm,
                                        inputs_.joinery.tongue_wall_mm);
  for (const Loop2& groove : found.grooves) {
    take_tongue(context, groove, found.depth_mm, found.male, joint);
    joint.keys.back().lip_mm = lip_mm;
  }
}

/// The higher the better.
bool KeyPlanner::take_tongues(const FaceContext& context, Joint& joint) {
  TongueRules rules;
  rules.least_wall_mm = inputs_.joinery.tongue_wall_mm;
  rules.least_lip_mm = inputs_.joinery.wall_to_skin_mm;
  rules.clearance_mm = inputs_.joinery.slide_clearance_mm;
  for (const double height_mm : {3.0, 2.0, 1.2}) {
    const auto found = find_tongues(context, height_mm, rules);
    if (!found) continue;
    take_tongues(context, *found, joint);
    return true;
  }
  return false;
}

/// Tongues of 1.0 x 1.5 mm in walls that are thinner than they should be, where the maker asks for
/// them by name: own prototypes held 25 of 25 planes in 3 mm with lips of 0.85 mm, which are
/// fragile. Where the wall leans, lower ones and thinner lips yet: what holds a quarter of the seam
/// first, else the longest.
bool KeyPlanner::take_fragile_tongues(const FaceContext& context, Joint& joint) {
  constexpr double kWidth_mm = 1.0, kWidthPlay_mm = 0.02, kThinnestWall_mm = 2.5;
  constexpr double kEnough_ratio = 0.25;
  TongueRules rules;
  rules.least_wall_mm = kThinnestWall_mm;
  rules.clearance_mm = inputs_.joinery.slide_clearance_mm;
  rules.opening_mm = (kWidth_mm - kWidthPlay_mm) / 2 + rules.clearance_mm;
  const double enough_mm = kEnough_ratio * context.face->area_mm2 / context.width_mm;
  std::optional<Tongues> longest;
  double longest_mm = 0;
  for (const double lip_mm : {0.77, 0.6, kThinnestLip_mm}) {
    rules.least_lip_mm = lip_mm;
    for (const double height_mm : {1.5, 1.0, 0.7}) {
      if (longest_mm >= enough_mm) continue;
      auto found = find_tongues(context, height_mm, rules);
      const double length_mm = found ? grooves_length_mm(found->grooves) : 0;
      if (length_mm <= longest_mm) continue;
      longest = std::move(found);
      longest_mm = length_mm;
    }
  }
  if (!longest) return false;
  take_tongues(context, *longest, joint);
  tell_fragile(context, *longest, joint.keys.back().lip_mm);
  return true;
}

void KeyPlanner::tell_fragile(const FaceContext& context, const Tongues& found, double lip_mm) {
  warn(
      "tongue-lips-fragile",
      fmt::format("{} has {:.0f} mm of tongue, as asked for, in a wall of {:.1f} mm: the lips "
                  "beside its groove are {:.2f} mm thin in places and break easily. A strap on the "
                  "hidden side holds better in walls under {:g} mm",
                  joint_name(inputs_, *context.face), grooves_length_mm(found.grooves),
                  context.width_mm, lip_mm, inputs_.joinery.tongue_wall_mm));
}

void KeyPlanner::take_tongue(const FaceContext& context, const Loop2& groove, double depth_mm,
                             Side male, Joint& joint) {
  const PlaneFrame frame(context.plane);
  double perimeter = 0;
  Vec2 sum;
  for (std::size_t i = 0; i < groove.size(); ++i) {
    perimeter += norm(groove[(i + 1) % groove.size()] - groove[i]);
    sum = sum + groove[i];
  }
  const double area = loop_area_mm2(groove);
  // A strip's own width and length from its area and perimeter.
  const double half = perimeter / 4, root = std::sqrt(std::max(0.0, half * half - area));
  Key key{KeyKind::tongue,
          frame.lift(sum / static_cast<double>(groove.size())),
          context.plane.normal,
          half - root,
          depth_mm,
          inputs_.joinery.slide_clearance_mm,
          context.piece(male),
          half + root};
  for (Vec2 p : groove) key.outline.push_back(frame.lift(p));
  joint.kind = KeyKind::tongue;
  joint.keys.push_back(std::move(key));
  for (Side which : {Side::above, Side::below}) {
    auto& taken = taken_[to_index(context.piece(which))];
    for (const TakenPlace& place :
         groove_places(context.side(which).frame, groove, depth_mm, joint_))
      taken.push_back(place);
  }
}

Joint KeyPlanner::plan_one(const FaceContext& context) {
  Joint joint{*context.face, KeyKind::none, true, {}};
  if (auto kept = laid_as_kept(context)) {
    joint.kind = kept->male ? KeyKind::pin : KeyKind::dowel;
    take(joint_, *kept, joint);
    laid_[joint_] = std::move(*kept);
    return joint;
  }
  const KeyKind asked = key_for(inputs_, *context.face);
  if (asked == KeyKind::none || asked == KeyKind::strap || asked == KeyKind::flange ||
      asked == KeyKind::lap)
    return joint;
  if (asked == KeyKind::tongue &&
      (take_tongues(context, joint) || take_fragile_tongues(context, joint)))
    return joint;
  Laid laid{&context, {}, {}};
  std::optional<KeyLayout> pins;
  if (asked == KeyKind::pin) {
    Side chosen = Side::above;
    pins = lay_out_pins(context, chosen);
    if (pins) laid.male = chosen;
  }
  laid.layout = pins ? std::move(*pins) : lay_out(context, {}, others_of(joint_));
  if (laid.layout.keys.size() < 2 && asked != KeyKind::tongue && asked != KeyKind::magnet &&
      take_tongues(context, joint))
    return joint;
  if (!laid.layout.keys.empty()) {
    joint.kind = laid.male ? KeyKind::pin : KeyKind::dowel;
    take(joint_, laid, joint);
  }
  laid_[joint_] = std::move(laid);
  return joint;
}

std::vector<Joint> KeyPlanner::plan(std::span<const std::optional<FaceContext>> contexts,
                                    const Run& run) {
  std::vector<Joint> joints(contexts.size());
  laid_.resize(contexts.size());
  for (const std::size_t j : kept_first(contexts)) {
    if (run.should_stop()) return {};
    joint_ = j;
    joints[j] = plan_one(*contexts[j]);
  }
  settle(joints);
  for (std::size_t j = 0; j < joints.size(); ++j) {
    shortfalls_.push_back(laid_[j].context != nullptr ? shortfall_of(j) : JointWarning{});
    if (key_for(inputs_, joints[j].face) == KeyKind::magnet) take_magnets(*contexts[j], joints[j]);
  }
  return joints;
}

}  // namespace seamwright::joints
