#include "seamwright/wiring/wire_part.h"

#include <fmt/format.h>

#include <limits>
#include <set>

#include "seamwright/core/boxes.h"
#include "seamwright/cut/plane_cut.h"
#include "wiring/combine_tools.h"
#include "wiring/planned_channel.h"
#include "wiring/smooth_skin_way.h"
#include "wiring/square_crossings.h"

namespace seamwright {
namespace {

using namespace wiring_detail;

constexpr double kBallSlackMm = 0.03;
constexpr int kMostFits = 4;
constexpr double kNearSkinMm = 16;  // a ridge's skin is nearer, a body's often

/// Names must tell items apart in pictures and tables.
Status check_names(const WiringSpec& spec) {
  std::set<std::string> taken;
  const auto take = [&](const std::string& name, const char* kind) -> Status {
    if (name.empty()) return Error{"name-taken", fmt::format("every {} needs a name", kind)};
    if (taken.insert(name).second) return ok();
    return Error{"name-taken", fmt::format("the name \"{}\" is given twice", name)};
  };
  for (const PocketSpec& pocket : spec.pockets) {
    if (pocket.name == "edge")
      return Error{"name-taken",
                   "no pocket can be named \"edge\": wires so end at the part's edge"};
    if (const Status status = take(pocket.name, "pocket"); !status) return status;
  }
  for (const WireSpec& wire : spec.all_wires()) {
    if (const Status status = take(wire.name, "wire"); !status) return status;
  }
  for (const SparSpec& spar : spec.spars) {
    if (const Status status = take(spar.name, "spar"); !status) return status;
  }
  return ok();
}

/// Errors that a ridge instead of the bore would help.
bool calls_for_ridge(const Error& error) {
  return error.code == "bore-leaves-body" || error.code == "bore-too-near-skin" ||
         error.code == "edge-not-found";
}

Vec3 middle_of(const Pocket& pocket) {
  return pocket.at + pocket.axis * (pocket.size_mm.z / 2);
}

class PartWirer {
 public:
  PartWirer(const Solid& part, const WiringSpec& spec, std::span<const double> sight,
            const Run& run, const SeamPlan* seams)
      : spec_(spec),
        wires_(spec.all_wires()),
        body_(part),
        site_{part, body_, sight, run, {}},
        seams_(seams) {}

  Result<WiredPart> run() {
    for (const auto step : {&PartWirer::size_wires, &PartWirer::draw_all, &PartWirer::combine_all,
                            &PartWirer::measure}) {
      if (site_.run.should_stop()) return Error{"cancelled", "stopped while leading wires"};
      const Status status = (this->*step)();
      if (!status) return status.error();
    }
    return std::move(*out_);
  }

 private:
  Status size_wires() {
    for (std::size_t i = 0; i < wires_.size(); ++i) {
      Result<WireTask> task = size_wire(wires_[i], static_cast<std::uint32_t>(i), warnings_);
      if (!task) return std::move(task).error().of(wires_[i].name);
      tasks_.push_back(std::move(*task));
    }
    return ok();
  }

  double widest_bore_at(const std::string& pocket) const {
    double widest_mm = 0;
    for (const WireTask& task : tasks_) {
      if (task.wire->from.pocket == pocket || task.wire->to.pocket == pocket)
        widest_mm = std::max(widest_mm, task.diameter_mm);
    }
    return widest_mm;
  }

  /// A threaded connector may ask for a wider bore than the pockets at its ends were fitted for,
  /// once its way's bends are known: then they are fitted, and all is drawn, anew.
  Status draw_all() {
    for (int round = 0; round < kMostFits; ++round) {
      pockets_.clear(), pocket_added_.clear(), pocket_taken_.clear(), fitted_mm_.clear();
      planned_.clear(), channel_balls_.clear();
      for (const auto step :
           {&PartWirer::place_pockets, &PartWirer::draw_spars, &PartWirer::draw_wires}) {
        if (site_.run.should_stop()) return Error{"cancelled", "stopped while leading wires"};
        const Status status = (this->*step)();
        if (!status) return status.error();
      }
      if (!outgrown_pocket()) return ok();
    }
    const std::string& name = outgrown_pocket()->pocket.name;
    return Error{"connector-does-not-pass",
                 fmt::format("pocket \"{}\" finds no size that the connectors threaded into it "
                             "pass; crimp them on after pulling (pass = \"crimped\")",
                             name)}
        .of(name);
  }

  /// A pocket that a wire's bore has become too wide for.
  const PlacedPocket* outgrown_pocket() const {
    for (std::size_t i = 0; i < pockets_.size(); ++i) {
      if (widest_bore_at(pockets_[i].pocket.name) > fitted_mm_[i]) return &pockets_[i];
    }
    return nullptr;
  }

  /// Threaded plugs come out through the pockets at their wires' ends.
  Status check_plugs(const PlacedPocket& placed, const PocketSpec& spec) const {
    for (const WireSpec& wire : wires_) {
      const bool ends_here = wire.from.pocket == spec.name || wire.to.pocket == spec.name;
      if (!ends_here || !wire.connector_mm || wire.pass != ConnectorPass::threaded) continue;
      if (passes_hole(placed, *wire.connector_mm)) continue;
      return wire_error(
                 wire.name, "connector-does-not-pass",
                 fmt::format(
                     "its connector, {} by {} mm, does not pass the hole behind the module in "
                     "pocket \"{}\"; crimp it on after pulling (pass = \"crimped\"), give the "
                     "pocket size_mm = {:.1f} or more, or end the wire beside it",
                     wire.connector_mm->x, wire.connector_mm->y, spec.name,
                     passing_size_mm(placed, spec, *wire.connector_mm)))
          .of(wire.name);
    }
    return ok();
  }

  Status place_pockets() {
    for (std::size_t i = 0; i < spec_.pockets.size(); ++i) {
      const PocketSpec& spec = spec_.pockets[i];
      Result<PlacedPocket> placed = place_pocket(spec, site_.part, body_, site_.sight);
      if (!placed) return std::move(placed).error().of(spec.name);
      const Status plugs = check_plugs(*placed, spec);
      if (!plugs) return plugs.error();
      fitted_mm_.push_back(widest_bore_at(spec.name));
      fit_pocket(*placed, spec, fitted_mm_.back());
      const auto id = static_cast<std::uint32_t>(i);
      for (Tool& boss : boss_of(*placed, spec, body_, id)) pocket_added_.push_back(std::move(boss));
      for (Tool& seat : seat_of(*placed, spec, id)) pocket_taken_.push_back(std::move(seat));
      pockets_.push_back(std::move(*placed));
    }
    return ok();
  }

  Result<WireEnd> end_of(const WireSpec& wire, const WirePlace& place) const {
    if (place.pocket.empty()) return WireEnd{place.point, nullptr};
    if (place.is_edge()) return WireEnd{.is_edge = true};
    for (const PlacedPocket& placed : pockets_) {
      if (placed.pocket.name == place.pocket) return WireEnd{placed.pocket.at, &placed};
    }
    return wire_error(wire.name, "pocket-unknown",
                      fmt::format("there is no pocket \"{}\"", place.pocket));
  }

  /// Ends at an edge lie near the way's next point.
  static Status place_edges(WireTask& task) {
    const std::vector<Vec3>& via = task.wire->via;
    if (task.from.is_edge && task.to.is_edge && via.empty())
      return wire_error(task.wire->name, "edge-not-found",
                        "it leads from edge to edge; give via points that say near which");
    if (task.from.is_edge) task.from.point = via.empty() ? task.to.point : via.front();
    if (task.to.is_edge) task.to.point = via.empty() ? task.from.point : via.back();
    return ok();
  }

  /// Everything that stands, but the wire's own pockets and what else ends in them.
  void set_keep_out(const WireTask& task) {
    site_.keep_out.clear();
    const auto ends_at = [](const WireEnd& end, const KeepOut& ball) {
      return end.pocket != nullptr && norm(ball.at - middle_of(end.pocket->pocket)) <
                                          end.pocket->pocket.reach_mm + ball.radius_mm + 4;
    };
    for (const KeepOut& ball : channel_balls_) {
      if (!ends_at(task.from, ball) && !ends_at(task.to, ball)) site_.keep_out.push_back(ball);
    }
    for (const PlacedPocket& placed : pockets_) {
      if (&placed == task.from.pocket || &placed == task.to.pocket) continue;
      site_.keep_out.push_back({middle_of(placed.pocket), placed.pocket.reach_mm});
    }
  }

  static bool is_ridge(const Channel& channel) {
    return channel.kind != "bore" && channel.kind != "spar";
  }

  void block(const Channel& channel) {
    const double radius_mm = channel.diameter_mm / 2 + (is_ridge(channel) ? 7.5 : 0.0);
    for (const KeepOut& ball : balls_along(channel.path, radius_mm)) channel_balls_.push_back(ball);
  }

  void keep(PlannedChannel&& planned) {
    measure_way(planned.channel);
    block(planned.channel);
    planned_.push_back(std::move(planned));
  }

  Status draw_spars() {
    for (std::size_t i = 0; i < spec_.spars.size(); ++i) {
      set_keep_out({});
      Result<PlannedChannel> spar =
          plan_spar(site_, spec_.spars[i], static_cast<std::uint32_t>(wires_.size() + i));
      if (!spar) return std::move(spar).error().of(spec_.spars[i].name);
      keep(std::move(*spar));
    }
    spar_count_ = planned_.size();
    return ok();
  }

  Result<PlannedChannel> lead_wire(const WireTask& task, std::vector<std::string>& told) {
    const WireKind kind = task.wire->kind;
    const bool has_boss = (task.from.pocket && task.from.pocket->pocket.has_boss) ||
                          (task.to.pocket && task.to.pocket->pocket.has_boss);
    if (task.settled)
      return *task.settled == WireKind::bore ? plan_bore(site_, task, told)
                                             : plan_rib(site_, task, told);
    if (kind == WireKind::bore) return plan_bore(site_, task, told);
    if (kind != WireKind::automatic || has_boss) return plan_rib(site_, task, told);
    Result<PlannedChannel> bore = plan_bore(site_, task, told);
    if (bore || !calls_for_ridge(bore.error())) return bore;
    if (site_.sight.empty()) {
      return std::move(bore).error().within(
          "a ridge on the hidden side would do, once worn_side, wall_side or around says which "
          "side is hidden");
    }
    Result<PlannedChannel> rib = plan_rib(site_, task, told);
    return rib ? std::move(rib) : std::move(bore);
  }

  Result<PlannedChannel> draw_wire(const WireTask& task) {
    std::vector<std::string> told;
    Result<PlannedChannel> planned = lead_wire(task, told);
    if (planned) planned->warnings = std::move(told);
    return planned;
  }

  /// A threaded connector may ask for a wider bore where the way bends more than was wanted.
  Result<PlannedChannel> draw_for_connector(WireTask& task) {
    Result<PlannedChannel> planned = draw_wire(task);
    const WireSpec& wire = *task.wire;
    if (!planned || !wire.connector_mm || wire.pass != ConnectorPass::threaded) return planned;
    for (int round = 0; round < 4; ++round) {
      const double bend_mm = felt_bend_mm(planned->channel.path);
      const double needed_mm = threaded_bore_mm(*wire.connector_mm, bend_mm);
      if (needed_mm <= task.diameter_mm + 1e-6) return planned;
      if (wire.diameter_mm) {
        return wire_error(wire.name, "connector-does-not-pass",
                          fmt::format("its connector needs a bore of {:.1f} mm where the way bends "
                                      "with {:.0f} mm; crimp it on after pulling, or give more",
                                      needed_mm, bend_mm));
      }
      task.diameter_mm = needed_mm + 0.2;
      task.governed_by = "connector";
      planned = draw_wire(task);
      if (!planned) return planned;
    }
    return wire_error(wire.name, "connector-does-not-pass",
                      "its connector passes no bend of the way; crimp it on after pulling");
  }

  Result<PlannedChannel> draw_task(WireTask& task) {
    const WireSpec& wire = *task.wire;
    const Result<WireEnd> from = end_of(wire, wire.from), to = end_of(wire, wire.to);
    if (!from) return from.error();
    if (!to) return to.error();
    task.from = *from, task.to = *to;
    const Status near = place_edges(task);
    if (!near) return near.error();
    task.passages.clear(), task.settled.reset();
    set_keep_out(task);
    Result<PlannedChannel> planned = draw_for_connector(task);
    if (planned && seams_ != nullptr)
      planned = led_squarely(site_, *seams_, task, std::move(*planned),
                             [this](WireTask& again) { return draw_for_connector(again); });
    if (planned) describe_wire(planned->channel, task);
    return planned;
  }

  Status draw_wires() {
    for (WireTask& task : tasks_) {
      Result<PlannedChannel> planned = draw_task(task);
      if (!planned) return std::move(planned).error().of(task.wire->name);
      keep(std::move(*planned));
    }
    std::rotate(planned_.begin(), planned_.begin() + static_cast<std::ptrdiff_t>(spar_count_),
                planned_.end());
    return ok();
  }

  static void describe_wire(Channel& channel, const WireTask& task) {
    const auto words = [](const WirePlace& place, Vec3 end) {
      if (place.is_edge()) return "the edge at " + place_words(end);
      return place.pocket.empty() ? place_words(place.point) : "pocket " + place.pocket;
    };
    channel.wire = *task.wire;
    channel.size = task.size;
    channel.from = words(task.wire->from, channel.path.front());
    channel.to = words(task.wire->to, channel.path.back());
  }

  Result<Solid> combined() const {
    std::vector<Tool> added = pocket_added_, taken = pocket_taken_;
    for (const PlannedChannel& planned : planned_) {
      added.insert(added.end(), planned.added.begin(), planned.added.end());
      taken.insert(taken.end(), planned.taken.begin(), planned.taken.end());
    }
    return combine_tools(site_.part, added, taken, site_.run);
  }

  bool stands_alone(const PlannedChannel& planned) const {
    return static_cast<bool>(combine_tools(site_.part, planned.added, planned.taken, site_.run));
  }

  /// Draws those wires anew, another way, that booleans refuse even alone. False: there is none.
  bool redraw_wires() {
    bool has_redrawn = false;
    for (std::size_t i = 0; i < tasks_.size(); ++i) {
      if (planned_.size() > 1 && stands_alone(planned_[i])) continue;
      tasks_[i].first_attempt = planned_[i].next_attempt;
      tasks_[i].is_refused = true;
      channel_balls_.clear();
      for (std::size_t k = 0; k < planned_.size(); ++k) {
        if (k != i) block(planned_[k].channel);
      }
      Result<PlannedChannel> anew = draw_task(tasks_[i]);
      if (!anew) continue;
      measure_way(anew->channel);
      planned_[i] = std::move(*anew);
      has_redrawn = true;
    }
    return has_redrawn;
  }

  Status combine_all() {
    Result<Solid> whole = combined();
    while (!whole && !site_.run.should_stop() && redraw_wires()) whole = combined();
    if (!whole) return std::move(whole).error();
    if (split_components(*whole).size() != split_components(site_.part).size())
      return Error{"boolean-failed",
                   "the bores cut the part apart; move them deeper into the body"};
    out_ = WiredPart{std::move(*whole), {}, {}, {}};
    for (PlannedChannel& planned : planned_) {
      warnings_.insert(warnings_.end(), planned.warnings.begin(), planned.warnings.end());
      out_->channels.push_back(std::move(planned.channel));
    }
    for (PlacedPocket& placed : pockets_) out_->pockets.push_back(std::move(placed.pocket));
    return ok();
  }

  /// What the wired part really holds, measured on it.
  Status measure() {
    const RayTree wired(out_->solid);
    for (Channel& channel : out_->channels) {
      Status passes = check_ball(channel, wired);
      if (!passes) return std::move(passes).error().of(channel.name);
    }
    measure_walls();
    for (Channel& channel : out_->channels) add_volt_drop(channel);
    for (std::string& warning : warnings_) {  // a wire drawn anew may say the same again
      if (std::find(out_->warnings.begin(), out_->warnings.end(), warning) == out_->warnings.end())
        out_->warnings.push_back(std::move(warning));
    }
    return ok();
  }

  /// Skin and ridges near the channels are enough, unless one lies deeper than that.
  void measure_walls() {
    for (const double reach_mm : {kNearSkinMm, std::numeric_limits<double>::infinity()}) {
      const std::vector<Box3> near = boxes_round_channels(reach_mm);
      const TriangleTree outside(corners_where(out_->solid, [&](FaceId f) {
        const Origin origin = out_->solid.origin(f);
        const bool is_ridge = origin.kind == OriginKind::channel && origin.id >= kRidgeOrigin;
        if (origin.kind != OriginKind::skin && !is_ridge) return false;
        Box3 box;
        for (const Vec3& p : out_->solid.corners(f)) box.extend(p);
        return std::any_of(near.begin(), near.end(),
                           [&](const Box3& run) { return boxes_meet(run, box); });
      }));
      bool are_known = true;
      for (Channel& channel : out_->channels)
        are_known = measure_wall(channel, outside, reach_mm) && are_known;
      if (are_known) return;
    }
  }

  /// Boxes that hold all within `reach_mm` of the channels, one a few centimetres of way.
  std::vector<Box3> boxes_round_channels(double reach_mm) const {
    constexpr std::size_t kPoints = 16;
    const Vec3 reach{reach_mm, reach_mm, reach_mm};
    std::vector<Box3> boxes;
    for (const Channel& channel : out_->channels) {
      for (std::size_t i = 0; i < channel.path.size(); ++i) {
        if (i % kPoints == 0) boxes.emplace_back();
        boxes.back().extend(channel.path[i] - reach);
        boxes.back().extend(channel.path[i] + reach);
      }
    }
    return boxes;
  }

  Status check_ball(const Channel& channel, const RayTree& wired) const {
    for (const Vec3& p : channel.path) {
      const double free_mm = wired.nearest(p)->distance_mm;
      if (free_mm >= channel.diameter_mm / 2 - kBallSlackMm && !wired.contains(p)) continue;
      return wire_error(channel.name, "boolean-failed",
                        fmt::format("at {} the channel has {:.2f} mm of room round its middle, "
                                    "{:.2f} mm are needed; move it",
                                    place_words(p), free_mm, channel.diameter_mm / 2));
    }
    return ok();
  }

  /// False: plastic beyond `reach_mm`, where the tree does not know, might count.
  bool measure_wall(Channel& channel, const TriangleTree& outside, double reach_mm) const {
    const double radius_mm = channel.diameter_mm / 2;
    const double end_mm = channel.kind == "rib" ? radius_mm + 10 : 2 * radius_mm + 3;
    channel.least_wall_mm = std::numeric_limits<double>::infinity();
    if (channel.kind == "clips") return true;
    const std::vector<Vec3> tangents = tangents_of(channel.path);
    for (std::size_t i = 0; i < channel.path.size(); ++i) {
      const Vec3 p = channel.path[i];
      if (std::min(norm(p - channel.path.front()), norm(channel.path.back() - p)) < end_mm)
        continue;
      const NearTriangle near = outside.nearest(p);
      if (near.distance_mm > reach_mm) return false;
      if (std::abs(dot(normalized(near.point - p), tangents[i])) > 0.8) continue;
      channel.least_wall_mm = std::min(channel.least_wall_mm, near.distance_mm - radius_mm);
    }
    return true;
  }

  void add_volt_drop(Channel& channel) {
    if (!channel.wire.current_a || channel.wire.conductors.empty()) return;
    int gauge = 0;
    for (const std::string& text : channel.wire.conductors)
      gauge = std::max(gauge, read_conductors(text)->gauge);
    const double run_mm = channel.length_mm + 2 * channel.wire.slack_mm;
    const VoltDrop drop = volt_drop(gauge, run_mm, *channel.wire.current_a, channel.wire.supply_v);
    channel.drop = {drop};
    if (drop.drop_ratio <= 0.03) return;
    const auto better = drop.drop_ratio > 0.05 && drop.gauge_for_5_percent
                            ? drop.gauge_for_5_percent
                            : drop.gauge_for_3_percent;
    warnings_.push_back(fmt::format(
        "wire \"{}\" loses {:.2f} V, {:.1f} % of {:g} V, over {:.0f} mm there and back; {} % is "
        "the "
        "usual advice{}",
        channel.name, drop.drop_v, 100 * drop.drop_ratio, channel.wire.supply_v, run_mm,
        drop.drop_ratio > 0.05 ? 5 : 3,
        better
            ? fmt::format(", AWG {} would do", *better)
            : ", and no gauge up to AWG 18 would do: feed it from both ends or raise the volts"));
  }

  const WiringSpec& spec_;
  std::vector<WireSpec> wires_;
  RayTree body_;
  WiringSite site_;
  const SeamPlan* seams_;  ///< null while they are not known
  std::vector<WireTask> tasks_;
  std::vector<PlacedPocket> pockets_;
  std::vector<double> fitted_mm_;  ///< one a pocket: the bore it was fitted for
  std::vector<Tool> pocket_added_, pocket_taken_;
  std::vector<PlannedChannel> planned_;  ///< spars, then wires while drawing; then wires first
  std::size_t spar_count_ = 0;
  std::vector<KeepOut> channel_balls_;
  std::vector<std::string> warnings_;
  std::optional<WiredPart> out_;
};

}  // namespace

Result<WiredPart> wire_part(const Solid& part, const WiringSpec& spec,
                            std::span<const double> sight, const Run& run, const SeamPlan* seams) {
  if (spec.is_empty()) return WiredPart{part, {}, {}, {}};
  require(sight.empty() || sight.size() == part.face_count(), "one sight a face, or none");
  const Status names = check_names(spec);
  if (!names) return names.error();
  return PartWirer(part, spec, sight, run, seams).run();
}

}  // namespace seamwright
