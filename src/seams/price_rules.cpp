#include "seams/price_rules.h"

#include <cmath>

#include "seamwright/query/mass_properties.h"

namespace seamwright::search {
namespace {

constexpr double kTrespass_h = 20, kTrespass_h_per_mm = 0.2;
constexpr double kCutSeat_h_per_mm = 0.1;
constexpr double kAskewChannel_h = 1, kAlongChannel_h_per_mm = 0.03, kBesideChannel_mm = 5;

/// Even-odd count of a point in the plane against a bag of edges that closes.
bool is_inside(const BodyCap& cap, const std::vector<Vec3>& points, const Plane& plane,
               Vec3 point) {
  const PlaneFrame frame(plane);
  const Vec2 p = frame.flatten(point);
  bool inside = false;
  for (const BodyEdge& e : cap.edges) {
    const Vec2 a = frame.flatten(points[e.from]), b = frame.flatten(points[e.to]);
    if ((a.y > p.y) == (b.y > p.y)) continue;
    if (p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y)) inside = !inside;
  }
  return inside;
}

/// Whether the cap has material in the zone: an edge of it passes there, or it covers the zone's
/// middle.
bool enters(const Zone& zone, const BodyCap& cap, const std::vector<Vec3>& points,
            const Plane& plane) {
  for (const BodyEdge& e : cap.edges) {
    if (zone.touches(points[e.from], points[e.to])) return true;
  }
  return is_inside(cap, points, plane, zone.center - plane.normal * plane.distance(zone.center));
}

double trespass_h(double depth_mm) {
  return kTrespass_h + kTrespass_h_per_mm * depth_mm;
}

/// A cut seat against the maker's other prices: about what two pieces and their seams cost.
double cut_seat_h(const CostWeights& cost) {
  return 1 + 4 * cost.piece_h + 100 * cost.shown_h_per_cm;
}

double cut_seat_h(const CostWeights& cost, double depth_mm) {
  return depth_mm > 0 ? cut_seat_h(cost) + kCutSeat_h_per_mm * depth_mm : 0;
}

using ChannelLine = std::array<Vec3, 2>;

double harmed_line_h(const Plane& plane, const ChannelLine& line) {
  const double from_mm = plane.distance(line[0]), to_mm = plane.distance(line[1]);
  const double length_mm = norm(line[1] - line[0]);
  const double rise_mm = std::abs(to_mm - from_mm);
  if (length_mm <= 0 || rise_mm >= std::sqrt(0.5) * length_mm) return 0;
  const double low_mm = std::min(from_mm, to_mm), high_mm = std::max(from_mm, to_mm);
  if (low_mm >= kBesideChannel_mm || high_mm <= -kBesideChannel_mm) return 0;
  const double near_mm =
      std::min(high_mm, kBesideChannel_mm) - std::max(low_mm, -kBesideChannel_mm);
  const double share = rise_mm > 1e-9 ? near_mm / rise_mm : 1.0;
  const bool is_crossed = (from_mm >= 0) != (to_mm >= 0);
  return kAlongChannel_h_per_mm * share * length_mm + (is_crossed ? kAskewChannel_h : 0.0);
}

}  // namespace

double printing_h(const PriceRules& rules, double print_h) {
  const CostWeights& cost = rules.cost;
  const double success =
      (1 - cost.first_layer_failure_ratio) * std::exp(-cost.failure_per_h * print_h);
  const double over_h =
      rules.longest_print_h > 0 ? std::max(0.0, print_h - rules.longest_print_h) : 0.0;
  return cost.failure_h * (1 - success) / success + cost.over_window_h * over_h +
         rules.print_hour_h * print_h;
}

bool lies_on(const Plane& seam, const Plane& preferred) {
  const double cosine = dot(seam.normal, preferred.normal);
  const double offset_mm = cosine < 0 ? -preferred.offset_mm : preferred.offset_mm;
  constexpr double kCosineOfHalfDegree = 0.99996192;
  return std::abs(cosine) >= kCosineOfHalfDegree && std::abs(seam.offset_mm - offset_mm) <= 0.5;
}

double discount(const PriceRules& rules, const Plane& seam) {
  double most = 0;
  for (const PreferredSeam& wish : rules.preferred) {
    if (lies_on(seam, wish.plane)) most = std::max(most, wish.discount_ratio);
  }
  return most;
}

double trespass_h(const PriceRules& rules, const Plane& plane, const BodyHalves& halves) {
  double hours = 0;
  for (const Zone& zone : rules.forbidden) {
    const double depth_mm = zone.depth_mm(plane);
    if (depth_mm <= 0 || halves.above->caps.empty()) continue;
    const ClipBody& body = *halves.above;
    const BodyCap& cap = body.caps.back();  // the new one comes last
    if (enters(zone, cap, body.points, plane)) hours += trespass_h(depth_mm);
  }
  return hours;
}

double possible_trespass_h(const PriceRules& rules, const Plane& plane) {
  double hours = 0;
  for (const Zone& zone : rules.forbidden) {
    const double depth_mm = zone.depth_mm(plane);
    if (depth_mm > 0) hours += trespass_h(depth_mm);
  }
  return hours;
}

double cut_seats_h(const PriceRules& rules, const Plane& plane, const ClipBody& body) {
  double hours = 0;
  for (const BodySeat& seat : body.seats)
    hours += cut_seat_h(rules.cost, rules.seats[seat.seat].depth_mm(plane));
  return hours;
}

double harmed_channels_h(const Plane& plane, const ClipBody& body) {
  double hours = 0;
  for (const ChannelLine& line : body.channels) hours += harmed_line_h(plane, line);
  return hours;
}

std::vector<PlacedHours> placed_hours(const PriceRules& rules, const Plane& plane,
                                      const ClipBody& body) {
  std::vector<PlacedHours> placed;
  const auto add = [&](Vec3 where, double hours) {
    if (hours > 0) placed.push_back({where, hours});
  };
  for (const Zone& zone : rules.forbidden) {
    const double depth_mm = zone.depth_mm(plane);
    add(zone.center, depth_mm > 0 ? trespass_h(depth_mm) : 0);
  }
  for (const BodySeat& seat : body.seats)
    add(seat.middle, cut_seat_h(rules.cost, rules.seats[seat.seat].depth_mm(plane)));
  for (const ChannelLine& line : body.channels)
    add((line[0] + line[1]) / 2, harmed_line_h(plane, line));
  return placed;
}

PrintPace measure_pace(const Solid& stand_in, const PieceJudge& judge) {
  if (!judge.bare_print_s) return {};
  constexpr double kSmaller = 0.5;
  const MassProperties mass = mass_properties(stand_in);
  const auto hours_at = [&](double scale) {
    std::vector<Vec3> points;
    for (const Vec3 p : stand_in.points()) points.push_back((p - stand_in.box().low) * scale);
    const Solid solid =
        Solid::adopt(std::move(points), {stand_in.triangles().begin(), stand_in.triangles().end()},
                     {stand_in.origins().begin(), stand_in.origins().end()});
    Pose pose;
    pose.size_mm = solid.box().size();
    return judge.bare_print_s(solid, pose, 0) / 3600;
  };
  // hours(k) = a·A·k² + b·V·k³ at k = 1 and ½.
  const double whole = hours_at(1), half = hours_at(kSmaller);
  const double area_part = (8 * half - whole) / (8 * kSmaller * kSmaller - 1);
  const double area_h = std::clamp(area_part, 0.0, whole);
  return {area_h / mass.area_mm2, (whole - area_h) / mass.volume_mm3};
}

}  // namespace seamwright::search
