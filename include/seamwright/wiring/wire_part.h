#pragma once

#include <optional>
#include <string>
#include <vector>

#include "seamwright/core/describe.h"
#include "seamwright/core/run.h"
#include "seamwright/mesh/solid.h"

namespace seamwright {

/// A wire's way as the job file asks for it: `[[wire]]`. Part frame, mm.
struct WireSpec {
  std::string name;
  Vec3 from, to;                        ///< on or outside the skin, where the wire leaves the body
  std::vector<Vec3> via;                ///< points the way must pass, in order
  std::optional<double> diameter_mm;    ///< of the bore; none: from the conductors
  std::vector<std::string> conductors;  ///< "2xAWG26"
  double wall_mm = 1.2;                 ///< plastic kept between bore and skin
};

template <class Settings, class Visitor>
requires same_settings<Settings, WireSpec>
void describe(Settings& wire, Visitor&& visit) {
  visit(wire.name, FieldDoc{"name", "what you call the wire", "yours"});
  visit(wire.from, FieldDoc{"from", "point on or outside the skin where it enters", "yours"});
  visit(wire.to, FieldDoc{"to", "point on or outside the skin where it leaves", "yours"});
  visit(wire.via, FieldDoc{"via", "points it must pass, in order", "yours"});
  visit(wire.diameter_mm, FieldDoc{"diameter_mm", "of the bore; empty: from the conductors",
                                   "computed from the bundle", 0.5, 60});
  visit(wire.conductors, FieldDoc{"conductors", "count and gauge, as \"2xAWG26\"", "yours"});
  visit(wire.wall_mm, FieldDoc{"wall_mm", "plastic kept round the bore", "assumption", 0.4, 20});
}

struct Channel {
  std::string name;
  std::string kind = "bore";
  std::vector<Vec3> path;  ///< centre line, from end to end
  double length_mm = 0;
  double diameter_mm = 0;
  std::string governed_by;   ///< "given", "fill", "bundle", …: what decided the diameter
  double least_wall_mm = 0;  ///< least distance from the bore to the skin, its ends aside
  double least_bend_mm = 0;  ///< least bend radius of the centre line
};

struct WiredPart {
  Solid solid;  ///< bores cut, their faces with origin {channel, position in the job}
  std::vector<Channel> channels;
  std::vector<std::string> warnings;
};

/// Cuts the bores of all wires into the part, in one pass of booleans, cleaned so that the result
/// has no self-crossing after a float round trip. Without wires the part comes back as it is.
/// Errors, each naming the wire and the place: "bore-leaves-body", "bore-too-near-skin",
/// "wire-end-inside", "boolean-failed", "cancelled".
Result<WiredPart> wire_part(const Solid& part, const std::vector<WireSpec>& wires,
                            const Run& run = {});

}  // namespace seamwright
