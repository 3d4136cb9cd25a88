#include "wiring/planned_channel.h"

#include <fmt/format.h>

#include "wiring/edge_place.h"
#include "wiring/smooth_skin_way.h"

namespace seamwright::wiring_detail {
namespace {

constexpr double kRimInsetMm = 3;  // a ridge's mouth flares to 1.5 mm beyond its end
constexpr double kRunInMm = 15;    // and comes to the rim straight over so much

}  // namespace

Error wire_error(const std::string& name, std::string code, const std::string& what) {
  return {std::move(code), fmt::format("wire \"{}\": {}", name, what)};
}

std::vector<Vec3> points_between(const WireTask& task) {
  const std::vector<Vec3>& via = task.wire->via;
  std::vector<Vec3> points;
  for (std::size_t i = 0; i <= via.size(); ++i) {
    for (const Passage& passage : task.passages) {
      if (passage.vias_before != i) continue;
      points.push_back(passage.at - passage.along * passage.half_mm);
      points.push_back(passage.at + passage.along * passage.half_mm);
    }
    if (i < via.size()) points.push_back(via[i]);
  }
  return points;
}

Result<WireTask> size_wire(const WireSpec& wire, std::uint32_t id,
                           std::vector<std::string>& warnings) {
  WireTask task{.wire = &wire, .from = {}, .to = {}, .size = {}, .governed_by = "given", .id = id};
  if (!wire.diameter_mm || !wire.conductors.empty()) {
    const Result<BoreSize> size = size_bore(wire.conductors);
    if (!size) return wire_error(wire.name, size.error().code, size.error().message);
    task.size = *size;
  }
  if (wire.diameter_mm) {
    task.diameter_mm = *wire.diameter_mm;
    if (task.diameter_mm >= task.size.bundle_mm) return task;
    return wire_error(
        wire.name, "wire-conductors",
        fmt::format("its bundle is {:.1f} mm thick and does not pass diameter_mm = {}",
                    task.size.bundle_mm, task.diameter_mm));
  }
  task.diameter_mm = task.size.bore_mm;
  task.governed_by = task.size.governed_by;
  if (!task.size.warning.empty())
    warnings.push_back(fmt::format("wire \"{}\": {}", wire.name, task.size.warning));
  if (wire.connector_mm && wire.pass == ConnectorPass::threaded) {
    const double needed_mm = threaded_bore_mm(*wire.connector_mm, task.wanted_bend_mm());
    if (needed_mm > task.diameter_mm) {
      task.diameter_mm = needed_mm;
      task.governed_by = "connector";
    }
  }
  return task;
}

Result<WireTask> at_narrow_sides(const WiringSite& site, WireTask task) {
  const double clear_mm = task.diameter_mm / 2 + task.wire->wall_mm;
  for (WireEnd* end : {&task.from, &task.to}) {
    if (!end->is_edge) continue;
    const auto place = nearest_narrow_side(site.part, site.body, end->point, clear_mm);
    if (!place)
      return wire_error(task.wire->name, "edge-not-found",
                        fmt::format("the part has no narrow side {:.1f} mm or more wide, where "
                                    "its bore could end at an edge; give a point",
                                    2 * clear_mm));
    *end = {.point = place->point};
  }
  return task;
}

Result<WireTask> at_rims(const WiringSite& site, WireTask task) {
  for (WireEnd* end : {&task.from, &task.to}) {
    if (!end->is_edge) continue;
    const auto place =
        nearest_rim(site.part, site.body, site.hidden_skin(), end->point, kRimInsetMm);
    if (!place)
      return wire_error(task.wire->name, "edge-not-found",
                        "the hidden skin has no sharp edge, where a ridge could end; give a "
                        "point");
    *end = {.point = place->point, .run_in = place->point + place->inward * kRunInMm};
  }
  return task;
}

double felt_bend_mm(std::span<const Vec3> path) {
  return least_bend_mm(resampled(path, 2));
}

void measure_way(Channel& channel) {
  channel.length_mm = 0;
  for (std::size_t i = 0; i + 1 < channel.path.size(); ++i)
    channel.length_mm += norm(channel.path[i + 1] - channel.path[i]);
  channel.least_bend_mm = felt_bend_mm(channel.path);
  // Over 8 mm: what a wire feels, not the grain of the samples.
  const std::vector<Vec3> coarse = resampled(channel.path, 8);
  double turn = 0;
  for (std::size_t i = 1; i + 1 < coarse.size(); ++i) {
    const Vec3 a = normalized(coarse[i] - coarse[i - 1]), b = normalized(coarse[i + 1] - coarse[i]);
    turn += std::atan2(norm(cross(a, b)), dot(a, b));
  }
  channel.bend_turn_deg = Angle::radians(turn).degrees();
}

std::vector<KeepOut> balls_along(std::span<const Vec3> path, double radius_mm) {
  std::vector<KeepOut> balls;
  for (const Vec3& p : path) {
    if (balls.empty() || norm(p - balls.back().at) >= 3) balls.push_back({p, radius_mm});
  }
  if (!path.empty()) balls.push_back({path.back(), radius_mm});
  return balls;
}

}  // namespace seamwright::wiring_detail
