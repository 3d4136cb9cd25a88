#pragma once

#include <optional>
#include <string>

#include "seamwright/core/describe.h"
#include "seamwright/core/vec.h"

namespace seamwright {

/// `[[lock]]`: a plane the plan must cut by, whole part first, in order.
struct LockChoice {
  Vec3 normal{0, 0, 1};
  double offset_mm = 0;
};

/// `[[prefer]]`: a plane the maker would like a seam on.
struct PreferChoice {
  Vec3 normal{0, 0, 1};
  double offset_mm = 0;
  double discount_ratio = 0.5;
};

/// `[[forbid]]`: a box (low and high) or a ball (center and radius) that no seam goes through.
struct ForbidChoice {
  std::string name = "zone";
  std::optional<Vec3> low, high, center;
  std::optional<double> radius_mm;
};

/// `[[show]]` and `[[hide]]`: skin that is seen, or that nobody sees, whatever sight says; told by
/// one of an OBJ group or material, a direction, a box, a ball.
struct SkinChoice {
  std::string group;
  std::optional<Vec3> direction;
  double angle_deg = 45;
  std::optional<Vec3> low, high, center;
  std::optional<double> radius_mm;
};

/// `[[done]]`: a piece of the earlier hand-off in the output folder that is printed already.
struct DoneChoice {
  std::string piece;  ///< its mark
};

template <class Settings, class Visitor>
requires same_settings<Settings, LockChoice>
void describe(Settings& lock, Visitor&& visit) {
  visit(lock.normal, FieldDoc{"normal", "direction the plane faces", "yours"});
  visit(lock.offset_mm, FieldDoc{"offset_mm", "distance from the origin along it", "yours"});
}

template <class Settings, class Visitor>
requires same_settings<Settings, PreferChoice>
void describe(Settings& wish, Visitor&& visit) {
  visit(wish.normal, FieldDoc{"normal", "direction the plane faces", "yours"});
  visit(wish.offset_mm, FieldDoc{"offset_mm", "distance from the origin along it", "yours"});
  visit(wish.discount_ratio,
        FieldDoc{"discount_ratio", "taken off a seam's hours there", "yours", 0, 1});
}

template <class Settings, class Visitor>
requires same_settings<Settings, ForbidChoice>
void describe(Settings& zone, Visitor&& visit) {
  visit(zone.name, FieldDoc{"name", "what you call it", "yours"});
  visit(zone.low, FieldDoc{"low", "a box: its lowest corner, mm", "yours"});
  visit(zone.high, FieldDoc{"high", "and its highest", "yours"});
  visit(zone.center, FieldDoc{"center", "or a ball: its middle, mm", "yours"});
  visit(zone.radius_mm, FieldDoc{"radius_mm", "and its radius", "yours", 0.1, 5000});
}

template <class Settings, class Visitor>
requires same_settings<Settings, SkinChoice>
void describe(Settings& skin, Visitor&& visit) {
  visit(skin.group, FieldDoc{"group", "an OBJ group or material", "yours"});
  visit(skin.direction, FieldDoc{"direction", "or skin that faces this way", "yours"});
  visit(skin.angle_deg, FieldDoc{"angle_deg", "within this angle of it", "yours", 1, 180});
  visit(skin.low, FieldDoc{"low", "or a box: its lowest corner, mm", "yours"});
  visit(skin.high, FieldDoc{"high", "and its highest", "yours"});
  visit(skin.center, FieldDoc{"center", "or a ball: its middle, mm", "yours"});
  visit(skin.radius_mm, FieldDoc{"radius_mm", "and its radius", "yours", 0.1, 5000});
}

template <class Settings, class Visitor>
requires same_settings<Settings, DoneChoice>
void describe(Settings& done, Visitor&& visit) {
  visit(done.piece, FieldDoc{"piece", "mark of a piece that is printed, as A1", "yours"});
}

}  // namespace seamwright
