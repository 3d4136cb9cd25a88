#include <fmt/format.h>

#include <limits>

#include "wiring/planned_channel.h"
#include "wiring/smooth_skin_way.h"
#include "wiring/way.h"

namespace seamwright::wiring_detail {
namespace {

constexpr double kStepMm = 0.7;
constexpr double kBeyondMm = 1;  // a tool that ends in the skin would leave a knife edge
constexpr double kOnSkinMm = 0.5;
constexpr double kAheadCosine = 0.8;
constexpr double kSteepestSine = 0.5;  // a mouth at less than 30° to the skin is a knife edge

/// A bore drawn along a way, while it is held against the body.
struct Bore {
  std::string name;
  double diameter_mm = 0, wall_mm = 0;
  bool is_from_open = true, is_to_open = true;  ///< false: the end lies in a pocket
  Vec3 from, to;
  Way way;                          ///< fine samples, lengthened beyond open ends: what is judged
  Way tool;                         ///< as many samples as its bends need: what is cut
  std::size_t first = 0, last = 0;  ///< samples of the way that lie in the body
};

/// An end on the skin is where the bore's stretch in the body ends; else the way runs through air.
Status check_ends(const Bore& bore, const RayTree& body) {
  const double near_mm = bore.diameter_mm / 2 + 2;
  for (const bool is_first : {true, false}) {
    if (!(is_first ? bore.is_from_open : bore.is_to_open)) continue;
    const Vec3 end = is_first ? bore.from : bore.to;
    const Vec3 inside = bore.way.points[is_first ? bore.first : bore.last];
    if (norm(inside - end) <= near_mm || !body.nearest(end, kOnSkinMm)) continue;
    return wire_error(bore.name, "bore-leaves-body",
                      fmt::format("its way runs outside the body between {} and {}",
                                  place_words(end), place_words(inside)));
  }
  return ok();
}

/// Finds the one stretch of the way that lies in the body.
Status find_stretch(Bore& bore, const RayTree& body) {
  const std::vector<Vec3>& points = bore.way.points;
  std::vector<bool> is_inside(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) is_inside[i] = body.contains(points[i]);
  if ((is_inside.front() && bore.is_from_open) || (is_inside.back() && bore.is_to_open)) {
    return wire_error(
        bore.name, "wire-end-inside",
        fmt::format("its end {} lies inside the body; move it out to the skin",
                    place_words(is_inside.front() && bore.is_from_open ? bore.from : bore.to)));
  }
  const auto first = std::find(is_inside.begin(), is_inside.end(), true);
  if (first == is_inside.end())
    return wire_error(bore.name, "bore-leaves-body", "its way never enters the body");
  const auto after = std::find(first, is_inside.end(), false);
  const auto again = std::find(after, is_inside.end(), true);
  bore.first = static_cast<std::size_t>(first - is_inside.begin());
  bore.last = static_cast<std::size_t>(after - is_inside.begin()) - 1;
  if (again == is_inside.end()) return check_ends(bore, body);
  return wire_error(
      bore.name, "bore-leaves-body",
      fmt::format("its way leaves the body at {} and enters it again at {}; give points between "
                  "that stay inside",
                  place_words(points[bore.last]),
                  place_words(points[static_cast<std::size_t>(again - is_inside.begin())])));
}

/// The wall round the bore, its mouths aside.
Status check_wall(const Bore& bore, const RayTree& body) {
  const std::vector<Vec3>& points = bore.way.points;
  const double radius_mm = bore.diameter_mm / 2, mouth_mm = 2 * (radius_mm + bore.wall_mm);
  for (std::size_t i = bore.first; i <= bore.last; ++i) {
    const double to_mouth_mm =
        std::min(norm(points[i] - points[bore.first]), norm(points[bore.last] - points[i]));
    if (to_mouth_mm < mouth_mm) continue;
    const auto nearest = body.nearest(points[i]);
    // What lies ahead or behind is the skin the wire passes through, not a wall beside it.
    const Vec3 towards = normalized(nearest->point - points[i]);
    if (std::abs(dot(towards, bore.way.tangents[i])) > kAheadCosine) continue;
    const double wall_mm = nearest->distance_mm - radius_mm;
    if (wall_mm >= bore.wall_mm) continue;
    return wire_error(
        bore.name, "bore-too-near-skin",
        fmt::format("at {} only {:.2f} mm of plastic is left round a bore of {:.1f} mm, {} mm "
                    "are asked; move the way or take a thinner bore",
                    place_words(points[i]), wall_mm, bore.diameter_mm, bore.wall_mm));
  }
  return ok();
}

/// A mouth must break the skin at 30° or more.
Status check_mouths(const Bore& bore, const RayTree& body, const Solid& part) {
  for (const bool is_first : {true, false}) {
    if (!(is_first ? bore.is_from_open : bore.is_to_open)) continue;
    const std::size_t inside = is_first ? bore.first : bore.last;
    const Vec3 out = is_first ? -bore.way.tangents[inside] : bore.way.tangents[inside];
    const auto hit = body.first_hit(bore.way.points[inside], out, 0);
    if (!hit) continue;
    const double sine = std::abs(dot(normalized(part.area_normal(hit->face)), out));
    if (sine >= kSteepestSine) continue;
    return wire_error(
        bore.name, "bore-too-near-skin",
        fmt::format("it breaks the skin at {} under {:.0f}°, 30° or more are needed; turn the "
                    "way's end",
                    place_words(bore.way.points[inside]),
                    Angle::radians(std::asin(sine)).degrees()));
  }
  return ok();
}

Status check_apart(const Bore& bore, std::span<const KeepOut> keep_out) {
  const double needed_mm = bore.diameter_mm / 2 + bore.wall_mm;
  for (std::size_t i = bore.first; i <= bore.last; ++i) {
    for (const KeepOut& ball : keep_out) {
      const double apart_mm = norm(bore.way.points[i] - ball.at) - ball.radius_mm;
      if (apart_mm >= needed_mm - 0.05) continue;
      return wire_error(bore.name, "bore-too-near-skin",
                        fmt::format("it comes too near another channel or pocket at {}",
                                    place_words(bore.way.points[i])));
    }
  }
  return ok();
}

Status check_bend(const Bore& bore) {
  const double bend_mm = felt_bend_mm(bore.way.points);
  if (bend_mm >= 0.6 * bore.diameter_mm) return ok();
  return wire_error(bore.name, "bore-bend-too-tight",
                    fmt::format("the way turns with a radius of {:.1f} mm, too tight for a bore "
                                "of {:.1f} mm; spread its points",
                                bend_mm, bore.diameter_mm));
}

Status check_bore(Bore& bore, const WiringSite& site) {
  for (const auto& check :
       {+[](Bore&b, const WiringSite&) { return check_bend(b); },
        +[](Bore&b, const WiringSite&s) { return find_stretch(b, s.body); },
        +[](Bore&b, const WiringSite&s) { return check_wall(b, s.body); },
        +[](Bore&b, const WiringSite&s) { return check_mouths(b, s.body, s.part); },
        +[](Bore&b, const WiringSite&s) { return check_apart(b, s.keep_out); }}) {
    const Status status = check(bore, site);
    if (!status) return status.error();
  }
  return ok();
}

std::vector<Vec3> points_of(const WireTask& task) {
  const auto end = [](const WireEnd& e) {
    if (e.pocket == nullptr) return e.point;
    const Pocket& pocket = e.pocket->pocket;
    return pocket.at + pocket.axis * (pocket.size_mm.z - e.pocket->behind_mm / 2);
  };
  std::vector<Vec3> points{end(task.from)};
  const std::vector<Vec3> between = points_between(task);
  points.insert(points.end(), between.begin(), between.end());
  points.push_back(end(task.to));
  return points;
}

/// Whether an open end was asked for inside the body; on the skin, another direction may do.
bool lies_deep(const Bore& bore, const RayTree& body) {
  const auto is_deep = [&](Vec3 end) {
    return body.contains(end) && body.nearest(end)->distance_mm > kOnSkinMm;
  };
  return (bore.is_from_open && is_deep(bore.from)) || (bore.is_to_open && is_deep(bore.to));
}

Bore bore_of(const WireTask& task, const std::vector<Vec3>& ends) {
  return {.name = task.wire->name,
          .diameter_mm = task.diameter_mm,
          .wall_mm = task.wire->wall_mm,
          .is_from_open = task.from.pocket == nullptr,
          .is_to_open = task.to.pocket == nullptr,
          .from = ends.front(),
          .to = ends.back(),
          .way = {},
          .tool = {}};
}

/// A fine way's points, as many as its bends need: chords stay within 0.01 mm of the curve.
std::vector<Vec3> thinned(const std::vector<Vec3>& fine) {
  constexpr double kSagMm = 0.008, kLeastMm = 0.5, kMostMm = 4;
  std::vector<Vec3> kept{fine.front()};
  for (std::size_t i = 1; i + 1 < fine.size(); ++i) {
    const std::span<const Vec3> near(
        fine.begin() + static_cast<std::ptrdiff_t>(i < 3 ? 0 : i - 3),
        fine.begin() + static_cast<std::ptrdiff_t>(std::min(i + 4, fine.size())));
    const double step_mm = std::sqrt(8 * least_bend_mm(near) * kSagMm);
    if (norm(fine[i] - kept.back()) >= std::clamp(step_mm, kLeastMm, kMostMm) &&
        norm(fine[i] - fine.back()) > kLeastMm)
      kept.push_back(fine[i]);
  }
  kept.push_back(fine.back());
  return kept;
}

/// Moves a way's open ends out, so that the tool stands through the skin.
Way through_skin(std::vector<Vec3> points, const Bore& bore) {
  const double beyond_mm = bore.diameter_mm / 2 + kBeyondMm;
  const std::size_t last = points.size() - 1;
  const Vec3 first_out = normalized(points[0] - points[1]) * beyond_mm,
             last_out = normalized(points[last] - points[last - 1]) * beyond_mm;
  if (bore.is_from_open) points[0] += first_out;
  if (bore.is_to_open) points[last] += last_out;
  Way way{std::move(points), {}};
  way.tangents = tangents_of(way.points);
  return way;
}

/// The way that is judged: fine, its ends kept and lengthened.
Way judged_way(std::vector<Vec3> fine, const Bore& bore) {
  if (bore.is_from_open) fine.insert(fine.begin(), fine.front() * 2 - fine[1]);
  if (bore.is_to_open) fine.push_back(fine.back() * 2 - fine[fine.size() - 2]);
  return through_skin(std::move(fine), bore);
}

void set_ways(Bore& bore, std::vector<Vec3> fine) {
  // No ring of the tool may lie in the skin, so its ends are moved, not lengthened.
  bore.tool = through_skin(thinned(fine), bore);
  bore.way = judged_way(std::move(fine), bore);
}

/// The given points, and one straight below the skin at each end that lies on it, as deep as the
/// bore needs: a way that breaks the skin squarely.
std::vector<Vec3> squarely_in(const WiringSite& site, const std::vector<Vec3>& ends,
                              double clear_mm) {
  std::vector<Vec3> through = ends;
  const auto below = [&](Vec3 end) {
    const auto skin = site.body.nearest(end);
    return skin->point - normalized(site.part.area_normal(skin->face)) * (1.2 * clear_mm);
  };
  through.insert(through.begin() + 1, below(ends.front()));
  through.insert(through.end() - 1, below(ends.back()));
  return through;
}

/// Wide berth first, then as near to the skin as allowed, then with square mouths: where a tube
/// leaves the skin at a flat angle it may graze it, and booleans refuse what is tangent.
struct BoreAttempt {
  double bend_ratio, margin_mm;
  bool is_square = false;
};
constexpr BoreAttempt kAttempts[] = {{1, 0.4},   {1, 0.8},         {0.6, 0.8},
                                     {0.4, 0.6}, {0.6, 0.6, true}, {0.4, 0.8, true}};

/// The bend of the stretch in the body, as the report tells it.
double bend_in_body_mm(const Bore& bore) {
  return felt_bend_mm(std::span(bore.way.points).subspan(bore.first, bore.last - bore.first + 1));
}

/// The bore with its tight bends widened, by as much as the body leaves room for.
Bore eased(Bore bore, const std::vector<Vec3>& line, const WiringSite& site, const WireTask& task) {
  constexpr double kMarginMm = 0.15;
  for (const double share : {1.0, 0.85, 0.7}) {
    const double bend_mm = bend_in_body_mm(bore);
    if (bend_mm >= share * task.wanted_bend_mm()) return bore;
    const BoreNeed need{task.diameter_mm / 2 + task.wire->wall_mm, share * task.wanted_bend_mm(),
                        kMarginMm, task.passages};
    const std::vector<Vec3> wider =
        ease_bends(line, site.body, task.wire->via, site.keep_out, need);
    Bore other = bore;
    set_ways(other, smooth_way(wider, kStepMm, 0).points);
    if (check_bore(other, site) && bend_in_body_mm(other) > bend_mm) bore = std::move(other);
  }
  return bore;
}

/// Through the distance field, from the task's first attempt on; `next` becomes the one after that
/// which did.
Result<Bore> lead_in_field(const WiringSite& site, const WireTask& task,
                           const std::vector<Vec3>& ends, std::size_t& next) {
  std::optional<Error> last;
  for (std::size_t i = task.first_attempt; i < std::size(kAttempts); ++i) {
    const BoreAttempt& attempt = kAttempts[i];
    const BoreNeed need{task.diameter_mm / 2 + task.wire->wall_mm,
                        attempt.bend_ratio * task.wanted_bend_mm(), attempt.margin_mm,
                        task.passages};
    std::vector<Vec3> line = site.body_field().lead(
        attempt.is_square ? squarely_in(site, ends, need.clear_mm) : ends, site.keep_out, need);
    if (line.empty() && attempt.is_square) continue;
    if (line.empty()) {
      return wire_error(task.wire->name, "bore-leaves-body",
                        fmt::format("no way inside the body keeps {:.1f} mm from the skin for a "
                                    "bore of {:.1f} mm; take a thinner bore, less wall or a ridge",
                                    need.clear_mm, task.diameter_mm));
    }
    Bore bore = bore_of(task, ends);
    set_ways(bore, smooth_way(line, kStepMm, 0).points);
    const Status fits = check_bore(bore, site);
    next = i + 1;
    if (fits) return eased(std::move(bore), line, site, task);
    last = fits.error();
  }
  if (last) return *last;
  return wire_error(task.wire->name, "boolean-failed", "no other way to lead its bore is left");
}

/// How far the tube's straight stretches cut the inside of its bends at most.
double chord_sag_mm(const std::vector<Vec3>& points) {
  double most_mm = 0;
  for (std::size_t i = 1; i + 1 < points.size(); ++i) {
    const Vec3 chord = normalized(points[i + 1] - points[i - 1]), off = points[i] - points[i - 1];
    most_mm = std::max(most_mm, norm(off - chord * dot(off, chord)));
  }
  return most_mm;
}

PlannedChannel planned(const Bore& bore, const WireTask& task) {
  PlannedChannel out;
  Channel& channel = out.channel;
  channel.name = bore.name;
  channel.path.assign(bore.way.points.begin() + static_cast<std::ptrdiff_t>(bore.first),
                      bore.way.points.begin() + static_cast<std::ptrdiff_t>(bore.last) + 1);
  channel.diameter_mm = bore.diameter_mm;
  channel.governed_by = task.governed_by;
  const double wide_mm = bore.diameter_mm + 2 * std::min(0.1, chord_sag_mm(bore.tool.points));
  out.taken.push_back(
      {fmt::format("wire \"{}\"", bore.name), tube_along(bore.tool, wide_mm, task.id)});
  return out;
}

}  // namespace

Result<PlannedChannel> plan_bore(const WiringSite& site, const WireTask& asked,
                                 std::vector<std::string>& warnings) {
  const Result<WireTask> placed = at_narrow_sides(site, asked);
  if (!placed) return placed.error();
  const WireTask& task = *placed;
  const std::vector<Vec3> ends = points_of(task);
  for (std::size_t i = 0; i + 1 < ends.size(); ++i) {
    if (norm(ends[i + 1] - ends[i]) < 0.5)
      return wire_error(task.wire->name, "wire-way",
                        "two of its points in a row are the same, at " + place_words(ends[i]));
  }
  Bore bore = bore_of(task, ends);
  const Way spline = smooth_way(ends, kStepMm, 0);
  set_ways(bore, spline.points);
  std::size_t next_attempt = 0;
  Status straight = check_bore(bore, site);
  if (straight && task.is_refused)
    straight = wire_error(bore.name, "boolean-failed", "booleans refuse its straight way");
  if (straight && !task.passages.empty() && felt_bend_mm(bore.way.points) < task.wanted_bend_mm())
    straight = wire_error(bore.name, "bore-bend-too-tight", "it turns too tightly at a seam");
  if (!straight) {
    const bool is_final =
        lies_deep(bore, site.body) || (!task.wire->via.empty() && task.passages.empty() &&
                                       straight.error().code == "bore-bend-too-tight");
    if (is_final) return straight.error();
    Result<Bore> led = lead_in_field(site, task, ends, next_attempt);
    // The maker's own points are what they know: the error speaks of their line.
    if (!led && !task.wire->via.empty()) return straight.error();
    if (!led) return std::move(led).error();
    bore = std::move(*led);
  }
  const double bend_mm = bend_in_body_mm(bore);
  if (bend_mm < task.wanted_bend_mm()) {
    warnings.push_back(
        fmt::format("wire \"{}\" bends with a radius of {:.1f} mm; {:.0f} mm or more is kind to it",
                    bore.name, bend_mm, task.wanted_bend_mm()));
  }
  PlannedChannel out = planned(bore, task);
  out.next_attempt = next_attempt;
  return out;
}

Result<PlannedChannel> plan_spar(const WiringSite& site, const SparSpec& spar, std::uint32_t id) {
  // Press 0.05, glue 0.15 per side: as keys, assumptions until the gauge piece says better.
  const double clearance_mm = spar.fit == PocketFit::press ? 0.05 : 0.15;
  const std::vector<Vec3> ends{spar.from, spar.to};
  Bore bore{.name = spar.name,
            .diameter_mm = spar.diameter_mm + 2 * clearance_mm,
            .wall_mm = spar.wall_mm,
            .from = spar.from,
            .to = spar.to,
            .way = {},
            .tool = {}};
  if (norm(spar.to - spar.from) < 1)
    return Error{"wire-way", fmt::format("spar \"{}\": its ends are the same", spar.name)};
  set_ways(bore, resampled(ends, kStepMm));
  const Status fits = check_bore(bore, site);
  if (!fits) {
    Error error = fits.error();
    const std::string as_wire = fmt::format("wire \"{}\"", spar.name);
    error.message.replace(error.message.find(as_wire), as_wire.size(),
                          fmt::format("spar \"{}\"", spar.name));
    return error;
  }
  const WireSpec nameless;
  PlannedChannel out = planned(bore, {.wire = &nameless, .governed_by = "given", .id = id});
  out.channel.kind = "spar";
  out.channel.wire.wall_mm = spar.wall_mm;
  out.taken.front().name = fmt::format("spar \"{}\"", spar.name);
  return out;
}

}  // namespace seamwright::wiring_detail
