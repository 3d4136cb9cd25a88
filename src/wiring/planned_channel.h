#pragma once

#include <memory>
#include <optional>

#include "seamwright/cut/boolean.h"
#include "seamwright/query/ray_tree.h"
#include "wiring/body_field.h"
#include "wiring/place_pocket.h"
#include "wiring/rib.h"

namespace seamwright::wiring_detail {

/// A channel drawn and held against the body, not yet cut.
struct PlannedChannel {
  Channel channel;
  std::vector<Tool> added, taken;
  std::vector<std::string> warnings = {};
  std::size_t next_attempt = 0;  ///< where to go on when booleans refuse this one
};

/// One end of a wire: a point, a placed pocket, or an edge of the part.
struct WireEnd {
  Vec3 point;
  const PlacedPocket* pocket = nullptr;  ///< null for a point
  bool is_edge = false;                  ///< then `point` is the place it should be near
  std::optional<Vec3> run_in = {};       ///< a point that the way passes next, square to an edge
};

/// What all wires of one part share; fields and patches are made when first needed.
struct WiringSite {
  const Solid& part;
  const RayTree& body;
  std::span<const double> sight;  ///< empty: unknown
  const Run& run;
  std::vector<KeepOut> keep_out;  ///< of everything that stands already
  mutable std::unique_ptr<BodyField> field = nullptr;
  mutable std::unique_ptr<HiddenSkin> hidden = nullptr;

  const BodyField& body_field() const;
  const HiddenSkin& hidden_skin() const;
};

/// A wire with its bore's size and ends; `id` is its position in the job.
struct WireTask {
  const WireSpec* wire = nullptr;
  WireEnd from, to;
  BoreSize size;
  double diameter_mm = 0;
  std::string governed_by;
  std::uint32_t id = 0;
  std::size_t first_attempt = 0;         ///< of drawing it
  bool is_refused = false;               ///< by booleans, as it was drawn before
  std::optional<WireKind> settled = {};  ///< bore or not, once it was drawn
  std::vector<Passage> passages = {};    ///< squarely through seams, in the order of the way
  /// NASA-STD-8739.4 7.3.21: six outer diameters; 15 mm: common practice, no source.
  double wanted_bend_mm() const { return std::max(15.0, 6 * size.bundle_mm); }
};

/// The given points and the ends of the passages, in the order of the way.
std::vector<Vec3> points_between(const WireTask& task);

Error wire_error(const std::string& name, std::string code, const std::string& what);

/// The bore's size from the wire's own words. Errors: "wire-conductors".
Result<WireTask> size_wire(const WireSpec& wire, std::uint32_t id,
                           std::vector<std::string>& warnings);

/// The task with its ends at an edge put there: on a narrow side for a bore, at the hidden skin's
/// rim for a ridge. Errors: "edge-not-found".
Result<WireTask> at_narrow_sides(const WiringSite& site, WireTask task);
Result<WireTask> at_rims(const WiringSite& site, WireTask task);

/// A bore through the body: by its given points if they do, else led through the distance field.
Result<PlannedChannel> plan_bore(const WiringSite& site, const WireTask& task,
                                 std::vector<std::string>& warnings);
/// A ridge, trough or clips over the hidden skin.
Result<PlannedChannel> plan_rib(const WiringSite& site, const WireTask& task,
                                std::vector<std::string>& warnings);
/// A straight bore for a rod.
Result<PlannedChannel> plan_spar(const WiringSite& site, const SparSpec& spar, std::uint32_t id);

/// The least bend radius that a wire feels: over 8 mm, not the grain of the samples.
double felt_bend_mm(std::span<const Vec3> path);
/// Length, bends and turns of a centre line into its channel.
void measure_way(Channel& channel);
/// What other channels keep out of: balls along a centre line.
std::vector<KeepOut> balls_along(std::span<const Vec3> path, double radius_mm);

}  // namespace seamwright::wiring_detail
