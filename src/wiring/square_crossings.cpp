#include "wiring/square_crossings.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "wiring/smooth_skin_way.h"

namespace seamwright::wiring_detail {
namespace {

const Angle kLeastAngle = Angle::degrees(45);
constexpr double kCornerMm = 25, kRimMm = 15, kNearRimMm = 8;
constexpr double kAlongSeamMm = 5, kMostAlongMm = 80;  // places tried on a skin
constexpr std::array kAskew_deg{0.0, 15.0, -15.0, 30.0, -30.0, 40.0, -40.0};
constexpr std::size_t kMostTries = 40, kMostBoreTries = 8;
constexpr double kLongerMm = 100;  // than before, at most

struct Place {
  Passage passage;
  int rank = 0;          ///< 0: squarely and off corners
  double length_mm = 0;  ///< from end to end through it, about
};

bool lies_in_half(const SeamPlan& plan, const Seam& seam, Vec3 at, double slack_mm) {
  const Seam* child = &seam;
  while (child->parent) {
    const Seam* parent = find_seam(plan, *child->parent);
    const double above_mm = parent->plane.distance(at);
    if ((child->side == Side::above ? above_mm : -above_mm) < -slack_mm) return false;
    child = parent;
  }
  return true;
}

/// Whether another seam meets this one nearer than seams should meet a channel.
bool is_near_corner(const SeamPlan& plan, SeamId id, Vec3 at) {
  return std::any_of(plan.seams.begin(), plan.seams.end(), [&](const Seam& other) {
    return other.id != id && std::abs(other.plane.distance(at)) < kCornerMm &&
           lies_in_half(plan, other, at, kCornerMm);
  });
}

bool is_askew(const WayCrossing& crossing) {
  return crossing.angle < kLeastAngle;
}

std::size_t askew_count(const std::vector<WayCrossing>& crossings) {
  return static_cast<std::size_t>(std::count_if(crossings.begin(), crossings.end(), is_askew));
}

double length_of(std::span<const Vec3> path) {
  double sum_mm = 0;
  for (std::size_t i = 0; i + 1 < path.size(); ++i) sum_mm += norm(path[i + 1] - path[i]);
  return sum_mm;
}

/// How far along the path the sample nearest to a place lies.
double way_to(std::span<const Vec3> path, Vec3 place) {
  double sum_mm = 0, found_mm = 0, least_mm = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < path.size(); ++i) {
    if (i > 0) sum_mm += norm(path[i] - path[i - 1]);
    if (norm(path[i] - place) >= least_mm) continue;
    least_mm = norm(path[i] - place);
    found_mm = sum_mm;
  }
  return found_mm;
}

/// Finds places where a channel may cross a seam, and holds what is drawn through them.
class SquareLeader {
 public:
  SquareLeader(const WiringSite& site, const SeamPlan& plan, WireTask& task, const DrawWire& draw)
      : site_(site), plan_(plan), task_(task), draw_(draw) {}

  PlannedChannel lead(PlannedChannel planned) {
    was_length_mm_ = length_of(planned.channel.path);
    least_bend_mm_ = std::min(task_.wanted_bend_mm(), felt_bend_mm(planned.channel.path));
    least_rim_mm_ = std::min(kRimMm, rim_mm(planned.channel));
    // Each crossing once; those before it keep their passages.
    std::vector<SeamId> done;
    while (const auto crossing = first_askew(planned.channel, done)) {
      done.push_back(crossing->seam);
      planned = anew(std::move(planned), *crossing);
    }
    return planned;
  }

 private:
  std::optional<WayCrossing> first_askew(const Channel& channel,
                                         const std::vector<SeamId>& done) const {
    for (const WayCrossing& crossing : ways_through(plan_, channel.path)) {
      if (is_askew(crossing) && std::find(done.begin(), done.end(), crossing.seam) == done.end())
        return crossing;
    }
    return {};
  }

  PlannedChannel anew(PlannedChannel planned, const WayCrossing& crossing) {
    const bool is_bore = planned.channel.kind == "bore";
    task_.settled = is_bore ? WireKind::bore : WireKind::rib;
    std::vector<Place> places = is_bore ? places_in_body(planned.channel, crossing)
                                        : places_on_skin(planned.channel, crossing);
    std::stable_sort(places.begin(), places.end(), [](const Place& a, const Place& b) {
      return a.rank != b.rank ? a.rank < b.rank : a.length_mm < b.length_mm;
    });
    places.resize(std::min(places.size(), is_bore ? kMostBoreTries : kMostTries));
    const WireTask before = task_;
    for (const Place& place : places) {
      task_.passages = with(before.passages, place.passage);
      Result<PlannedChannel> led = draw_(task_);
      if (led && holds(led->channel, planned.channel, crossing.seam)) return std::move(*led);
      task_ = before;
    }
    return planned;
  }

  /// Passages in the order of their way.
  std::vector<Passage> with(std::vector<Passage> passages, const Passage& more) const {
    const auto after = std::find_if(passages.begin(), passages.end(), [&](const Passage& other) {
      return other.way_mm > more.way_mm;
    });
    passages.insert(after, more);
    return passages;
  }

  Passage passage(const Channel& channel, const WayCrossing& crossing, Vec3 at, Vec3 along) const {
    Passage made{.at = at, .along = along, .way_mm = crossing.way_mm};
    for (const Vec3& via : task_.wire->via)
      made.vias_before += way_to(channel.path, via) < crossing.way_mm;
    return made;
  }

  double length_through(const Channel& channel, Vec3 at) const {
    return norm(at - channel.path.front()) + norm(channel.path.back() - at);
  }

  std::vector<Place> places_on_skin(const Channel& channel, const WayCrossing& crossing) const {
    const HiddenSkin& skin = site_.hidden_skin();
    const Seam& seam = *find_seam(plan_, crossing.seam);
    const Vec3 through =
        dot(crossing.along, seam.plane.normal) >= 0 ? seam.plane.normal : -seam.plane.normal;
    const NearTriangle begin = skin.nearest(crossing.at);
    std::vector<Place> places;
    for (const double way : {1.0, -1.0}) {
      Vec3 at = begin.point;
      for (double mm = 0; mm <= kMostAlongMm; mm += kAlongSeamMm) {
        if (mm > 0)
          at += normalized(cross(through, skin.normal(skin.nearest(at)))) * (way * kAlongSeamMm);
        for (int round = 0; round < 4; ++round) {
          at = skin.nearest(at).point;
          at += seam.plane.normal * -seam.plane.distance(at);
        }
        const NearTriangle near = skin.nearest(at);
        if (near.distance_mm > 1 || skin.patch(near) != skin.patch(begin) ||
            !lies_in_half(plan_, seam, at, 0))
          break;
        if (skin.rim_mm(near) < kNearRimMm || (mm == 0 && way < 0)) continue;
        add_directions(places, channel, crossing, near, through);
      }
    }
    return places;
  }

  void add_directions(std::vector<Place>& places, const Channel& channel,
                      const WayCrossing& crossing, const NearTriangle& near, Vec3 through) const {
    const Vec3 up = site_.hidden_skin().normal(near);
    const Vec3 square = normalized(through - up * dot(through, up)), side = cross(up, square);
    const bool is_near = is_near_corner(plan_, crossing.seam, near.point);
    for (const double askew_deg : kAskew_deg) {
      const double turn = Angle::degrees(askew_deg).radians();
      const Vec3 along = square * std::cos(turn) + side * std::sin(turn);
      if (dot(along, through) < std::sin(kLeastAngle.radians())) continue;
      const int rank = static_cast<int>(std::abs(askew_deg)) + (is_near ? 100 : 0);
      places.push_back({passage(channel, crossing, near.point, along), rank,
                        length_through(channel, near.point)});
    }
  }

  std::vector<Place> places_in_body(const Channel& channel, const WayCrossing& crossing) const {
    const Seam& seam = *find_seam(plan_, crossing.seam);
    const Vec3 through =
        dot(crossing.along, seam.plane.normal) >= 0 ? seam.plane.normal : -seam.plane.normal;
    const Vec3 u = any_perpendicular(through), v = cross(through, u);
    const double clear_mm = task_.diameter_mm / 2 + task_.wire->wall_mm;
    std::vector<Place> places;
    for (const double away_mm : {0.0, 8.0, 16.0, 30.0}) {
      for (int k = 0; k < (away_mm > 0 ? 8 : 1); ++k) {
        const double turn = std::numbers::pi * k / 4;
        const Vec3 at = crossing.at + (u * std::cos(turn) + v * std::sin(turn)) * away_mm;
        if (!site_.body.contains(at) || site_.body.nearest(at)->distance_mm < clear_mm) continue;
        if (!lies_in_half(plan_, seam, at, 0)) continue;
        const int rank = is_near_corner(plan_, crossing.seam, at) ? 100 : 0;
        const double length_mm = length_through(channel, at);
        places.push_back({passage(channel, crossing, at, through), rank, length_mm});
        const Vec3 softer = normalized(through + normalized(crossing.along));
        if (dot(softer, through) >= std::sin(kLeastAngle.radians()))
          places.push_back({passage(channel, crossing, at, softer), rank + 30, length_mm});
      }
    }
    return places;
  }

  /// Distance of a ridge's way to its patch's rim, its ends aside; a bore has none.
  double rim_mm(const Channel& channel) const {
    double least_mm = std::numeric_limits<double>::infinity();
    if (channel.kind == "bore") return least_mm;
    for (const Vec3& p : channel.path) {
      if (std::min(norm(p - channel.path.front()), norm(p - channel.path.back())) < 2 * kRimMm)
        continue;
      least_mm = std::min(least_mm, site_.hidden_skin().rim_mm(site_.hidden_skin().nearest(p)));
    }
    return least_mm;
  }

  bool is_apart(const Channel& channel) const {
    return std::none_of(channel.path.begin(), channel.path.end(), [&](Vec3 p) {
      if (std::min(norm(p - channel.path.front()), norm(p - channel.path.back())) < 6) return false;
      return std::any_of(site_.keep_out.begin(), site_.keep_out.end(),
                         [&](const KeepOut& ball) { return norm(p - ball.at) < ball.radius_mm; });
    });
  }

  bool holds(const Channel& led, const Channel& was, SeamId seam) const {
    const auto crossings = ways_through(plan_, led.path);
    const auto before = ways_through(plan_, was.path);
    const auto at_seam = std::count_if(crossings.begin(), crossings.end(),
                                       [&](const WayCrossing& c) { return c.seam == seam; });
    const bool is_square = std::none_of(crossings.begin(), crossings.end(), [&](const auto& c) {
      return c.seam == seam && is_askew(c);
    });
    return at_seam == 1 && is_square && askew_count(crossings) < askew_count(before) &&
           length_of(led.path) <= was_length_mm_ + kLongerMm &&
           felt_bend_mm(led.path) >= least_bend_mm_ - 1e-6 && rim_mm(led) >= least_rim_mm_ &&
           is_apart(led);
  }

  const WiringSite& site_;
  const SeamPlan& plan_;
  WireTask& task_;
  const DrawWire& draw_;
  double was_length_mm_ = 0, least_bend_mm_ = 0, least_rim_mm_ = 0;
};

}  // namespace

std::vector<WayCrossing> ways_through(const SeamPlan& plan, std::span<const Vec3> path) {
  std::vector<WayCrossing> found;
  double way_mm = 0;
  for (std::size_t i = 0; i + 1 < path.size(); ++i) {
    const Vec3 a = path[i], b = path[i + 1];
    const double step_mm = norm(b - a);
    for (const Seam& seam : plan.seams) {
      const double da = seam.plane.distance(a), db = seam.plane.distance(b);
      if ((da >= 0) == (db >= 0)) continue;
      const double share = da / (da - db);
      const Vec3 at = a + (b - a) * share;
      if (!lies_in_half(plan, seam, at, 0)) continue;
      found.push_back({seam.id, at, normalized(b - a),
                       Angle::radians(std::asin(std::min(1.0, std::abs(da - db) / step_mm))),
                       way_mm + share * step_mm});
    }
    way_mm += step_mm;
  }
  return found;
}

PlannedChannel led_squarely(const WiringSite& site, const SeamPlan& plan, WireTask& task,
                            PlannedChannel planned, const DrawWire& draw) {
  if (askew_count(ways_through(plan, planned.channel.path)) == 0) return planned;
  return SquareLeader(site, plan, task, draw).lead(std::move(planned));
}

}  // namespace seamwright::wiring_detail
