#include <fmt/format.h>

#include "wiring/planned_channel.h"

namespace seamwright::wiring_detail {
namespace {

constexpr double kHiddenSight =
    0.3;  // an open shell's inside with its worn side blocked: under 0.2
constexpr double kDeepestSinkMm = 1.5, kLeastSinkMm = 0.3;

std::vector<bool> hidden_faces(const WiringSite& site) {
  std::vector<bool> is_hidden(site.part.face_count());
  for (std::size_t f = 0; f < is_hidden.size(); ++f) is_hidden[f] = site.sight[f] < kHiddenSight;
  return is_hidden;
}

/// The wall under a way at its thinnest.
double least_wall_mm(const RayTree& body, const SkinWay& way) {
  double least_mm = 1e9;
  for (std::size_t i = 0; i < way.points.size(); ++i) {
    const Vec3 down = -way.normals[i];
    const auto skin = body.first_hit(way.points[i] - down * 4, down, 0);
    if (!skin || skin->from_behind) continue;
    const auto other =
        body.first_hit(way.points[i] - down * (4 - skin->distance_mm - 0.02), down, 0);
    if (other) least_mm = std::min(least_mm, other->distance_mm);
  }
  return least_mm;
}

RibEnd rib_end(const WireEnd& end) {
  if (end.pocket == nullptr) return {};
  const PlacedPocket& placed = *end.pocket;
  // The tunnel's floor comes no nearer to the mouth than the module's back.
  return {false, std::max(0.0, placed.pocket.module_depth_mm - placed.wall_depth_mm - 0.3),
          std::max(placed.half_along_mm - placed.half_across_mm, 0.0) + placed.boss_half_mm + 3};
}

Vec3 on_hidden_side(const WireEnd& end) {
  if (end.pocket == nullptr) return end.point;
  return end.pocket->pocket.at + end.pocket->pocket.axis * end.pocket->wall_depth_mm;
}

std::vector<Vec3> ridge_points(const WireTask& task) {
  std::vector<Vec3> through{on_hidden_side(task.from)};
  if (task.from.run_in) through.push_back(*task.from.run_in);
  const std::vector<Vec3> between = points_between(task);
  through.insert(through.end(), between.begin(), between.end());
  if (task.to.run_in) through.push_back(*task.to.run_in);
  through.push_back(on_hidden_side(task.to));
  return through;
}

RibKind rib_kind(WireKind kind) {
  return kind == WireKind::trough  ? RibKind::trough
         : kind == WireKind::clips ? RibKind::clips
                                   : RibKind::tunnel;
}

std::string kind_word(RibKind kind) {
  return kind == RibKind::trough ? "trough" : kind == RibKind::clips ? "clips" : "rib";
}

/// Stiffer ways first, then such as don't reach so far down for the skin, then other depths in it:
/// what booleans fail on is a matter of tenths of a millimetre.
struct Attempt {
  int stiffness;
  double reach_mm, sink_ratio;
};
constexpr Attempt kAttempts[] = {{0, 8, 1}, {1, 8, 1},   {2, 8, 1},    {0, 3, 1},
                                 {2, 3, 1}, {0, 8, 0.8}, {1, 5, 0.85}, {2, 4, 0.75}};

/// A rib whose solids don't cross themselves.
Result<Rib> draw_sound_rib(const RayTree& body, const SkinWay& way, const RibShape& shape,
                           const Run& run) {
  Result<Rib> rib = draw_rib(body, way, shape);
  if (!rib) return rib;
  for (const auto* solids : {&rib->ridges, &rib->tunnels}) {
    for (const Solid& solid : *solids) {
      const std::optional<Vec3> place = find_own_crossing(solid, run);
      if (place)
        return Error{"rib-folds",
                     fmt::format("the ridge folds at {}, where the skin bends too tightly; give "
                                 "points that lead round it",
                                 place_words(*place))};
    }
  }
  return rib;
}

PlannedChannel planned_rib(Rib&& rib, const SkinWay& way, const RibShape& shape,
                           const WireTask& task, std::vector<std::string>& warnings) {
  PlannedChannel out;
  const std::string name = fmt::format("wire \"{}\"", task.wire->name);
  for (Solid& ridge : rib.ridges) out.added.push_back({name, std::move(ridge)});
  for (Solid& tunnel : rib.tunnels) out.taken.push_back({name, std::move(tunnel)});
  out.channel.name = task.wire->name;
  out.channel.kind = kind_word(shape.kind);
  out.channel.path = std::move(rib.centre);
  out.channel.diameter_mm = task.diameter_mm;
  out.channel.governed_by = task.governed_by;
  out.channel.off_skin_mm = way.off_skin_mm;
  if (shape.kind == RibKind::trough) {
    out.channel.lid_mm = {0, rib.lid_width_mm, rib.lid_thickness_mm};
    for (std::size_t i = 0; i + 1 < rib.lid_way.size(); ++i)
      out.channel.lid_mm.x += norm(rib.lid_way[i + 1] - rib.lid_way[i]);
    out.channel.lid_way = std::move(rib.lid_way);
    out.channel.lid_ups = std::move(rib.lid_ups);
  }
  if (way.off_skin_mm > 2) {
    warnings.push_back(
        fmt::format("wire \"{}\": its ridge leaves the skin by up to {:.1f} mm, so as not to bend "
                    "more tightly than {:.0f} mm; it is higher there",
                    task.wire->name, way.off_skin_mm, way.bend_mm));
  }
  return out;
}

}  // namespace

Result<PlannedChannel> plan_rib(const WiringSite& site, const WireTask& asked,
                                std::vector<std::string>& warnings) {
  const WireSpec& wire = *asked.wire;
  if (site.sight.empty()) {
    return wire_error(
        wire.name, "hidden-side-unknown",
        "the wall is too thin for its bore, and a ridge may only stand on the side that nobody "
        "sees: set worn_side, wall_side or around under [part] (or --worn-side, --wall-side, "
        "--around)");
  }
  const Result<WireTask> placed = at_rims(site, asked);
  if (!placed) return placed.error();
  const WireTask& task = *placed;
  for (const WireEnd& end : {task.from, task.to}) {
    if (end.pocket == nullptr) continue;
    if (site.hidden_skin().nearest(on_hidden_side(end)).distance_mm < 1) continue;
    return wire_error(
        wire.name, "rib-no-way",
        fmt::format("pocket \"{}\" does not lie across the wall from the hidden side, "
                    "where a ridge would reach it; turn its direction",
                    end.pocket->pocket.name));
  }
  const std::vector<Vec3> through = ridge_points(task);
  RibShape shape{.kind = rib_kind(wire.kind),
                 .bore_mm = task.diameter_mm,
                 .clip_pitch_mm = wire.clip_pitch_mm,
                 .from = rib_end(task.from),
                 .to = rib_end(task.to),
                 .channel = task.id};
  std::optional<Error> last;
  for (std::size_t i = task.first_attempt; i < std::size(kAttempts); ++i) {
    const Attempt& attempt = kAttempts[i];
    const Result<SkinWay> way = site.hidden_skin().lead(through, site.keep_out,
                                                        {.bend_mm = task.wanted_bend_mm(),
                                                         .stiffness = attempt.stiffness,
                                                         .passages = task.passages});
    if (!way) return wire_error(wire.name, way.error().code, way.error().message);
    shape.sink_mm = attempt.sink_ratio *
                    std::clamp(least_wall_mm(site.body, *way) / 2, kLeastSinkMm, kDeepestSinkMm);
    shape.reach_mm = attempt.reach_mm;
    Result<Rib> rib = draw_sound_rib(site.body, *way, shape, site.run);
    if (rib) {
      PlannedChannel planned = planned_rib(std::move(*rib), *way, shape, task, warnings);
      planned.next_attempt = i + 1;
      return planned;
    }
    last = rib.error();
  }
  if (!last) return wire_error(wire.name, "rib-folds", "no other way to draw its ridge is left");
  return wire_error(wire.name, last->code, last->message);
}

const HiddenSkin& WiringSite::hidden_skin() const {
  if (!hidden) hidden = std::make_unique<HiddenSkin>(part, hidden_faces(*this), run);
  return *hidden;
}

const BodyField& WiringSite::body_field() const {
  if (!field) field = std::make_unique<BodyField>(part, body, run);
  return *field;
}

}  // namespace seamwright::wiring_detail
