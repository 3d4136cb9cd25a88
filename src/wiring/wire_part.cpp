#include "seamwright/wiring/wire_part.h"

#include <fmt/format.h>

#include <functional>
#include <limits>

#include "seamwright/cut/boolean.h"
#include "seamwright/cut/plane_cut.h"
#include "seamwright/query/ray_tree.h"
#include "seamwright/wiring/bundle.h"
#include "wiring/way.h"

namespace seamwright {
namespace {

using wiring_detail::Way;

constexpr double kStepMm = 1;
constexpr double kBeyondMm = 1;         // a tool that ends in the skin would leave a knife edge
constexpr double kTightestBendMm = 15;  // common practice, no source
constexpr double kBundlesPerBend = 6;   // NASA-STD-8739.4, 7.3.21
constexpr double kAheadCosine = 0.8;
constexpr double kSteepestSine = 0.5;  // a mouth at less than 30° to the skin is a knife edge

std::string place(Vec3 p) {
  return fmt::format("({:.1f}, {:.1f}, {:.1f})", p.x, p.y, p.z);
}

Error wire_error(const WireSpec& wire, std::string code, const std::string& what) {
  return {std::move(code), fmt::format("wire \"{}\": {}", wire.name, what)};
}

/// A wire with its bore's size and way, before it is held against the body.
struct Bore {
  const WireSpec* wire = nullptr;
  double diameter_mm = 0, bundle_mm = 0;
  std::string governed_by;
  Way way;
  std::size_t first = 0, last = 0;  ///< samples of the way that lie in the body
  double least_wall_mm = 0;
};

Result<Bore> draw_bore(const WireSpec& wire, std::vector<std::string>& warnings) {
  Bore bore{.wire = &wire};
  if (wire.diameter_mm) {
    bore.diameter_mm = *wire.diameter_mm;
    bore.governed_by = "given";
  }
  if (!wire.diameter_mm || !wire.conductors.empty()) {
    const Result<BoreSize> size = size_bore(wire.conductors);
    if (!size) return wire_error(wire, size.error().code, size.error().message);
    bore.bundle_mm = size->bundle_mm;
    if (wire.diameter_mm && *wire.diameter_mm < size->bundle_mm) {
      return wire_error(
          wire, "wire-conductors",
          fmt::format("its bundle is {:.1f} mm thick and does not pass diameter_mm = {}",
                      size->bundle_mm, *wire.diameter_mm));
    }
    if (!wire.diameter_mm) {
      bore.diameter_mm = size->bore_mm;
      bore.governed_by = size->governed_by;
      if (!size->warning.empty())
        warnings.push_back(fmt::format("wire \"{}\": {}", wire.name, size->warning));
    }
  }
  std::vector<Vec3> through{wire.from};
  through.insert(through.end(), wire.via.begin(), wire.via.end());
  through.push_back(wire.to);
  for (std::size_t i = 0; i + 1 < through.size(); ++i) {
    if (norm(through[i + 1] - through[i]) < 0.5)
      return wire_error(wire, "wire-way",
                        "two of its points in a row are the same, at " + place(through[i]));
  }
  bore.way = wiring_detail::smooth_way(through, kStepMm, bore.diameter_mm / 2 + kBeyondMm);
  return bore;
}

Status check_bend(const Bore& bore, std::vector<std::string>& warnings) {
  const double bend_mm = wiring_detail::least_bend_mm(bore.way);
  if (bend_mm < 0.6 * bore.diameter_mm) {
    return wire_error(*bore.wire, "bore-bend-too-tight",
                      fmt::format("the way turns with a radius of {:.1f} mm, too tight for a bore "
                                  "of {:.1f} mm; spread its points",
                                  bend_mm, bore.diameter_mm));
  }
  const double wanted_mm = std::max(kTightestBendMm, kBundlesPerBend * bore.bundle_mm);
  if (bend_mm < wanted_mm) {
    warnings.push_back(
        fmt::format("wire \"{}\" bends with a radius of {:.1f} mm; {:.0f} mm or more is kind to it",
                    bore.wire->name, bend_mm, wanted_mm));
  }
  return ok();
}

/// Finds the one stretch of the way that lies in the body.
Status find_stretch(Bore& bore, const RayTree& body) {
  const std::vector<Vec3>& points = bore.way.points;
  std::vector<bool> is_inside(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) is_inside[i] = body.contains(points[i]);
  if (is_inside.front() || is_inside.back()) {
    return wire_error(*bore.wire, "wire-end-inside",
                      fmt::format("its end {} lies inside the body; move it out to the skin",
                                  place(is_inside.front() ? bore.wire->from : bore.wire->to)));
  }
  const auto first = std::find(is_inside.begin(), is_inside.end(), true);
  if (first == is_inside.end())
    return wire_error(*bore.wire, "bore-leaves-body", "its way never enters the body");
  const auto after = std::find(first, is_inside.end(), false);
  const auto again = std::find(after, is_inside.end(), true);
  bore.first = static_cast<std::size_t>(first - is_inside.begin());
  bore.last = static_cast<std::size_t>(after - is_inside.begin()) - 1;
  if (again == is_inside.end()) return ok();
  return wire_error(
      *bore.wire, "bore-leaves-body",
      fmt::format("its way leaves the body at {} and enters it again at {}; give points between "
                  "that stay inside",
                  place(points[bore.last]),
                  place(points[static_cast<std::size_t>(again - is_inside.begin())])));
}

/// The wall round the bore, its mouths aside.
Status check_wall(Bore& bore, const RayTree& body) {
  const std::vector<Vec3>& points = bore.way.points;
  const double radius_mm = bore.diameter_mm / 2, mouth_mm = 2 * (radius_mm + bore.wire->wall_mm);
  bore.least_wall_mm = std::numeric_limits<double>::infinity();
  for (std::size_t i = bore.first; i <= bore.last; ++i) {
    const double to_mouth_mm =
        std::min(norm(points[i] - points[bore.first]), norm(points[bore.last] - points[i]));
    if (to_mouth_mm < mouth_mm) continue;
    const auto nearest = body.nearest(points[i]);
    // What lies ahead or behind is the skin the wire passes through, not a wall beside it.
    const Vec3 towards = normalized(nearest->point - points[i]);
    if (std::abs(dot(towards, bore.way.tangents[i])) > kAheadCosine) continue;
    const double wall_mm = nearest->distance_mm - radius_mm;
    bore.least_wall_mm = std::min(bore.least_wall_mm, wall_mm);
    if (wall_mm < bore.wire->wall_mm) {
      return wire_error(
          *bore.wire, "bore-too-near-skin",
          fmt::format("at {} only {:.2f} mm of plastic is left round a bore of {:.1f} mm, {} mm "
                      "are asked; move the way or take a thinner bore",
                      place(points[i]), wall_mm, bore.diameter_mm, bore.wire->wall_mm));
    }
  }
  return ok();
}

/// A mouth must break the skin at 30° or more.
Status check_mouths(const Bore& bore, const RayTree& body, const Solid& part) {
  for (const bool is_first : {true, false}) {
    const std::size_t inside = is_first ? bore.first : bore.last;
    const Vec3 out = is_first ? -bore.way.tangents[inside] : bore.way.tangents[inside];
    const auto hit = body.first_hit(bore.way.points[inside], out, 0);
    if (!hit) continue;
    const double sine = std::abs(dot(normalized(part.area_normal(hit->face)), out));
    if (sine < kSteepestSine) {
      return wire_error(
          *bore.wire, "bore-too-near-skin",
          fmt::format(
              "it breaks the skin at {} under {:.0f}°, 30° or more are needed; turn the way's end",
              place(bore.way.points[inside]), Angle::radians(std::asin(sine)).degrees()));
    }
  }
  return ok();
}

Status check_apart(const Bore& a, const Bore& b) {
  const double wanted_mm =
      (a.diameter_mm + b.diameter_mm) / 2 + std::max(a.wire->wall_mm, b.wire->wall_mm);
  for (std::size_t i = a.first; i <= a.last; ++i) {
    for (std::size_t k = b.first; k <= b.last; ++k) {
      if (norm(a.way.points[i] - b.way.points[k]) >= wanted_mm) continue;
      return wire_error(
          *a.wire, "bore-too-near-skin",
          fmt::format("it comes too near wire \"{}\" at {}", b.wire->name, place(a.way.points[i])));
    }
  }
  return ok();
}

Channel channel_of(const Bore& bore) {
  Channel channel{.name = bore.wire->name};
  channel.path.assign(bore.way.points.begin() + static_cast<std::ptrdiff_t>(bore.first),
                      bore.way.points.begin() + static_cast<std::ptrdiff_t>(bore.last) + 1);
  for (std::size_t i = 0; i + 1 < channel.path.size(); ++i)
    channel.length_mm += norm(channel.path[i + 1] - channel.path[i]);
  channel.diameter_mm = bore.diameter_mm;
  channel.governed_by = bore.governed_by;
  channel.least_wall_mm = bore.least_wall_mm;
  channel.least_bend_mm = wiring_detail::least_bend_mm(bore.way);
  return channel;
}

/// All bores drawn and held against the body and each other.
Result<std::vector<Bore>> plan_bores(const Solid& part, const std::vector<WireSpec>& wires,
                                     std::vector<std::string>& warnings) {
  const RayTree body(part);
  std::vector<Bore> bores;
  for (const WireSpec& wire : wires) {
    Result<Bore> bore = draw_bore(wire, warnings);
    if (!bore) return std::move(bore).error();
    for (const auto& step :
         {std::function<Status()>([&] { return check_bend(*bore, warnings); }),
          std::function<Status()>([&] { return find_stretch(*bore, body); }),
          std::function<Status()>([&] { return check_wall(*bore, body); }),
          std::function<Status()>([&] { return check_mouths(*bore, body, part); })}) {
      const Status status = step();
      if (!status) return status.error();
    }
    for (const Bore& other : bores) {
      const Status apart = check_apart(*bore, other);
      if (!apart) return apart.error();
    }
    bores.push_back(std::move(*bore));
  }
  return bores;
}

}  // namespace

Result<WiredPart> wire_part(const Solid& part, const std::vector<WireSpec>& wires, const Run& run) {
  std::vector<std::string> warnings;
  if (wires.empty()) return WiredPart{part, {}, {}};
  const Result<std::vector<Bore>> bores = plan_bores(part, wires, warnings);
  if (!bores) return bores.error();
  if (run.should_stop()) return Error{"cancelled", "stopped while leading wires"};
  std::vector<Solid> tools;
  WiredPart wired{part, {}, std::move(warnings)};
  for (std::size_t i = 0; i < bores->size(); ++i) {
    tools.push_back(wiring_detail::tube_along((*bores)[i].way, (*bores)[i].diameter_mm,
                                              static_cast<std::uint32_t>(i)));
    wired.channels.push_back(channel_of((*bores)[i]));
  }
  Result<Solid> bored = subtract(part, tools);
  if (!bored) return std::move(bored).error();
  if (split_components(*bored).size() != split_components(part).size()) {
    return Error{"boolean-failed", "the bores cut the part apart; move them deeper into the body"};
  }
  wired.solid = std::move(*bored);
  return wired;
}

}  // namespace seamwright
