#pragma once

#include <array>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "seamwright/core/describe.h"
#include "seamwright/core/vec.h"
#include "seamwright/wiring/pocket_spec.h"

namespace seamwright {

/// Where a wire ends: a point on or outside the skin, a pocket by its name, or "edge": the edge of
/// the part nearest to the way's next point. Part frame, mm.
struct WirePlace {
  Vec3 point;
  std::string pocket;  ///< empty: the point counts; "edge" is no pocket's name
  WirePlace() = default;
  WirePlace(Vec3 at) : point(at) {}
  WirePlace(double x, double y, double z) : point{x, y, z} {}
  WirePlace(std::string name) : pocket(std::move(name)) {}
  WirePlace(const char* name) : pocket(name) {}
  bool is_edge() const { return pocket == "edge"; }
};

/// How a wire is led.
enum class WireKind { automatic, bore, rib, trough, clips };
constexpr std::array<std::pair<std::string_view, WireKind>, 5> names(WireKind) {
  return {{{"auto", WireKind::automatic},
           {"bore", WireKind::bore},
           {"rib", WireKind::rib},
           {"trough", WireKind::trough},
           {"clips", WireKind::clips}}};
}
enum class ConnectorPass { crimped, threaded };
constexpr std::array<std::pair<std::string_view, ConnectorPass>, 2> names(ConnectorPass) {
  return {{{"crimped", ConnectorPass::crimped}, {"threaded", ConnectorPass::threaded}}};
}

/// A wire's way as the job file asks for it: `[[wire]]`. Part frame, mm.
struct WireSpec {
  std::string name;
  WirePlace from, to;
  std::vector<Vec3> via;  ///< points the way must pass, in order
  WireKind kind = WireKind::automatic;
  std::optional<double> diameter_mm;    ///< of the bore; none: from the conductors
  std::vector<std::string> conductors;  ///< "2xAWG26"
  double wall_mm = 1.2;                 ///< plastic kept between a bore and the skin
  std::optional<double> current_a;      ///< through each conductor; none: no volt drop is said
  double supply_v = 5;
  std::optional<Vec3> connector_mm;  ///< width, height, length
  ConnectorPass pass = ConnectorPass::crimped;
  double slack_mm = 80;       ///< more at each end, for soldering and service
  double clip_pitch_mm = 60;  ///< between clips
};

/// A straight bore for a stiffening rod: `[[spar]]`.
struct SparSpec {
  std::string name;
  Vec3 from, to;  ///< on or outside the skin, on the rod's axis
  double diameter_mm = 6;
  PocketFit fit = PocketFit::glue;
  double wall_mm = 1.6;
};

/// All that is led through or set into a part.
struct WiringSpec {
  std::vector<PocketSpec> pockets;
  std::vector<WireSpec> wires;
  std::vector<WireSpec> troughs;  ///< `[[trough]]`: wires whose kind is trough, whatever it says
  std::vector<SparSpec> spars;
  bool is_empty() const {
    return pockets.empty() && wires.empty() && troughs.empty() && spars.empty();
  }
  /// Wires, then troughs: the order of their channels.
  std::vector<WireSpec> all_wires() const {
    std::vector<WireSpec> all = wires;
    for (const WireSpec& trough : troughs) {
      all.push_back(trough);
      all.back().kind = WireKind::trough;
    }
    return all;
  }
};

template <class Settings, class Visitor>
requires same_settings<Settings, WireSpec>
void describe(Settings& wire, Visitor&& visit) {
  visit(wire.name, FieldDoc{"name", "what you call the wire", "yours"});
  visit(wire.from,
        FieldDoc{"from", "pocket by name, point on or outside the skin, or \"edge\"", "yours"});
  visit(wire.to,
        FieldDoc{"to", "pocket by name, point on or outside the skin, or \"edge\"", "yours"});
  visit(wire.via, FieldDoc{"via", "points it must pass, in order", "yours"});
  visit(wire.kind,
        FieldDoc{"kind", "auto, bore, rib, trough or clips; auto: bore, else rib", "design"});
  visit(wire.diameter_mm, FieldDoc{"diameter_mm", "of the bore; empty: from the conductors",
                                   "computed from the bundle", 0.5, 60});
  visit(wire.conductors, FieldDoc{"conductors", "count and gauge, as \"2xAWG26\"", "yours"});
  visit(wire.wall_mm, FieldDoc{"wall_mm", "plastic kept round the bore", "assumption", 0.4, 20});
  visit(wire.current_a, FieldDoc{"current_a", "through each conductor; empty: no volt drop is said",
                                 "yours", 0.001, 60});
  visit(wire.supply_v, FieldDoc{"supply_v", "of the supply", "assumption", 1, 60});
  visit(wire.connector_mm,
        FieldDoc{"connector_mm", "width, height, length of its connector", "yours", 0.5, 200});
  visit(wire.pass, FieldDoc{"pass", "connector crimped on after pulling, or threaded through",
                            "common practice, no source"});
  visit(wire.slack_mm,
        FieldDoc{"slack_mm", "more wire at each end", "common practice, no source", 0, 2000});
  visit(wire.clip_pitch_mm,
        FieldDoc{"clip_pitch_mm", "between clips", "common practice, no source", 15, 500});
}

template <class Settings, class Visitor>
requires same_settings<Settings, SparSpec>
void describe(Settings& spar, Visitor&& visit) {
  visit(spar.name, FieldDoc{"name", "what you call the rod", "yours"});
  visit(spar.from, FieldDoc{"from", "point on or outside the skin on the rod's axis", "yours"});
  visit(spar.to, FieldDoc{"to", "the other such point", "yours"});
  visit(spar.diameter_mm, FieldDoc{"diameter_mm", "of the rod", "yours", 1, 60});
  visit(spar.fit, FieldDoc{"fit", "press or glue", "yours"});
  visit(spar.wall_mm, FieldDoc{"wall_mm", "plastic kept round the rod", "assumption", 0.4, 20});
}

}  // namespace seamwright
