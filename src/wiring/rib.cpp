#include "wiring/rib.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "wiring/sweep_rings.h"

namespace seamwright::wiring_detail {
namespace {

constexpr double kSideMm = 2.0, kOverMm = 1.7, kUnderMm = 0.5;
constexpr double kFootMm = 1.0, kFootDepthMm = 0.4;
constexpr double kFlareMm = 1.0, kFlareLengthMm = 8, kBeyondMm = 1.5, kBeyondLiftMm = 0.4;
constexpr double kMoreRoomMm = 0.012;                   // stations left out sag by as much at most
constexpr double kPastSeatMm = 0.61, kInSeatMm = 0.27;  // beyond the seat's axis
constexpr double kLiftLengthMm = 32;  // a lift of 5 mm over it bends with a radius of 34 mm
constexpr double kHighestBumpMm = 8;  // over which a tunnel is lifted
constexpr double kMostHangMm = 4;     // how far a side reaches below the skin under the bore
constexpr double kLeastStepRatio = 0.2;
constexpr double kTroughSideMm = 2.4;  // the lid's ledge, and a wall beside the lid
constexpr double kTroughSquareness = 0.2;
constexpr double kLidMm = 1.2, kLedgeMm = 1.0, kLidPlayMm = 0.15;
constexpr double kClipMm = 7, kClipGapRatio = 0.75;
constexpr std::size_t kArcSteps = 16;

double smooth_step(double t) {
  t = std::clamp(t, 0.0, 1.0);
  return t * t * (3 - 2 * t);
}

/// All that a section needs at one sample of the way.
struct Station {
  Vec3 at, right, up, along;
  double lift_mm = 0;      ///< of the tunnel over the way
  double flare_mm = 0;     ///< wider by this all round
  double rise_ratio = 1;   ///< how much higher the tunnel is in the section than across itself
  double waist_ratio = 0;  ///< how much narrower a sweep is between stations that twist
};

class RibDrawer {
 public:
  RibDrawer(const RayTree& body, const SkinWay& way, const RibShape& shape)
      : body_(body), way_(way), shape_(shape), radius_mm_(shape.bore_mm / 2) {}

  Result<Rib> draw() {
    set_stations();
    lift_over_bumps();
    shape_ends();
    set_rises();
    Rib rib;
    for (const Station& s : stations_) {
      rib.centre.push_back(centre(s));
      rib.height_mm = std::max(rib.height_mm, top_mm(s));
      rib.lift_mm = std::max(rib.lift_mm, s.lift_mm);
    }
    if (shape_.kind != RibKind::clips) thin_stations();
    set_waists();
    if (shape_.kind == RibKind::clips) {
      const Status status = add_clips(rib);
      if (!status) return status.error();
      return rib;
    }
    Result<Solid> ridge = ridge_between(0, stations_.size() - 1);
    if (!ridge) return std::move(ridge).error();
    rib.ridges.push_back(std::move(*ridge));
    const bool is_trough = shape_.kind == RibKind::trough;
    rib.tunnels.push_back(is_trough ? open_channel(0, stations_.size() - 1) : tunnel());
    if (!is_trough) return rib;
    rib.lid_width_mm = 2 * (radius_mm_ + kLedgeMm - kLidPlayMm);
    rib.lid_thickness_mm = kLidMm;
    for (std::size_t i = 0; i < stations_.size(); ++i) {
      const Station& s = stations_[i];
      rib.lid_ups.push_back(across_tunnel(i).up);
      rib.lid_way.push_back(centre(s) + rib.lid_ups.back() * (top_mm(s) - kLidMm - centre_mm(s)));
    }
    return rib;
  }

 private:
  double centre_mm(const Station& s) const {
    return radius_mm_ + kUnderMm + s.lift_mm + s.flare_mm;
  }
  Vec3 centre(const Station& s) const { return s.at + s.up * centre_mm(s); }
  double half_width_mm(const Station& s) const {
    const double side_mm = shape_.kind == RibKind::trough ? kTroughSideMm : kSideMm;
    return (radius_mm_ + side_mm + s.flare_mm) * (1 + s.waist_ratio);
  }
  double top_mm(const Station& s) const {
    return centre_mm(s) + (radius_mm_ + kOverMm + s.flare_mm) * s.rise_ratio * (1 + s.waist_ratio);
  }

  void set_stations() {
    for (std::size_t i = 0; i < way_.points.size(); ++i) {
      const Vec3 right = normalized(cross(way_.normals[i], way_.tangents[i]));
      stations_.push_back({way_.points[i], right, way_.normals[i], way_.tangents[i]});
    }
    arc_mm_.assign(1, 0.0);
    for (std::size_t i = 0; i + 1 < way_.points.size(); ++i)
      arc_mm_.push_back(arc_mm_[i] + norm(way_.points[i + 1] - way_.points[i]));
  }

  /// Height of the skin over the way, `offset_mm` to the right; the ridge's own top where the skin
  /// stands higher still.
  double skin_mm(const Station& s, double offset_mm) const {
    const double start_mm = top_mm(s) + 3;
    const auto hit = body_.first_hit(s.at + s.right * offset_mm + s.up * start_mm, -s.up, 0);
    if (hit && hit->from_behind) return start_mm;
    return hit ? std::max(start_mm - hit->distance_mm, -shape_.reach_mm) : -shape_.reach_mm;
  }

  /// Where the smoothed way dips under the skin, the tunnel is lifted, evenly over its neighbours.
  void lift_over_bumps() {
    constexpr std::ptrdiff_t kReach = 6;
    const auto count = static_cast<std::ptrdiff_t>(stations_.size());
    std::vector<double> bump(stations_.size());
    for (std::size_t i = 0; i < stations_.size(); ++i) {
      const double high = std::max({skin_mm(stations_[i], 0), skin_mm(stations_[i], -radius_mm_),
                                    skin_mm(stations_[i], radius_mm_)});
      bump[i] = std::clamp(high - 0.3, 0.0, kHighestBumpMm);
    }
    const auto window = [&](const std::vector<double>& in, std::ptrdiff_t i, bool is_mean) {
      double most = 0, sum = 0;
      const std::ptrdiff_t low = std::max<std::ptrdiff_t>(0, i - kReach),
                           high = std::min(count - 1, i + kReach);
      for (std::ptrdiff_t k = low; k <= high; ++k) {
        most = std::max(most, in[static_cast<std::size_t>(k)]);
        sum += in[static_cast<std::size_t>(k)];
      }
      return is_mean ? sum / static_cast<double>(high - low + 1) : most;
    };
    std::vector<double> widened, evened;
    for (std::ptrdiff_t i = 0; i < count; ++i) widened.push_back(window(bump, i, false));
    for (std::ptrdiff_t i = 0; i < count; ++i) evened.push_back(window(widened, i, true));
    for (std::ptrdiff_t i = 0; i < count; ++i)
      stations_[static_cast<std::size_t>(i)].lift_mm = window(evened, i, true);
  }

  void shape_ends() {
    const double length_mm = arc_mm_.back();
    for (std::size_t i = 0; i < stations_.size(); ++i) {
      for (const bool is_first : {true, false}) {
        const RibEnd& end = is_first ? shape_.from : shape_.to;
        const double away_mm = is_first ? arc_mm_[i] : length_mm - arc_mm_[i];
        const double reach_mm = std::min(kLiftLengthMm, length_mm / 2);
        // The first few millimetres keep the full lift: there the tunnel crosses the seat's wall.
        stations_[i].lift_mm +=
            end.lift_mm * (1 - smooth_step((away_mm - 6) / std::max(1.0, reach_mm - 6)));
        if (end.is_open && shape_.kind == RibKind::tunnel)
          stations_[i].flare_mm = std::max(stations_[i].flare_mm,
                                           kFlareMm * (1 - smooth_step(away_mm / kFlareLengthMm)));
      }
    }
  }

  void set_rises() {
    for (std::size_t i = 1; i + 1 < stations_.size(); ++i) {
      const Vec3 along = normalized(centre(stations_[i + 1]) - centre(stations_[i - 1]));
      stations_[i].rise_ratio = 1 / std::max(0.7, dot(along, stations_[i].along));
    }
  }

  /// Leaves out stations between which nothing bends: fewer faces for everything that follows.
  void thin_stations() {
    constexpr double kSagMm = 0.012, kSkinMm = 0.08, kMostMm = 6, kEndMm = 11;
    constexpr double kTwistCosine = 0.99;  // 8°
    const std::size_t count = stations_.size();
    std::vector<double> skin;
    for (const Station& s : stations_) skin.push_back(skin_mm(s, 0));
    const auto may_jump = [&](std::size_t from, std::size_t to) {
      const double span_mm = arc_mm_[to] - arc_mm_[from];
      if (span_mm > kMostMm) return false;
      if (dot(stations_[from].right, stations_[to].right) < kTwistCosine) return false;
      const Vec3 a = centre(stations_[from]), b = centre(stations_[to]);
      for (std::size_t k = from + 1; k < to; ++k) {
        const double share = (arc_mm_[k] - arc_mm_[from]) / span_mm;
        if (norm(centre(stations_[k]) - (a + (b - a) * share)) > kSagMm) return false;
        if (std::abs(skin[k] - (skin[from] + (skin[to] - skin[from]) * share)) > kSkinMm)
          return false;
      }
      return true;
    };
    std::vector<Station> kept{stations_.front()};
    std::vector<double> arcs{0};
    for (std::size_t at = 0; at + 1 < count;) {
      std::size_t next = at + 1;
      const bool is_end = arc_mm_[at] < kEndMm || arc_mm_.back() - arc_mm_[at] < kEndMm + kMostMm;
      while (!is_end && next + 1 < count && may_jump(at, next + 1)) ++next;
      at = next;
      kept.push_back(stations_[at]);
      arcs.push_back(arc_mm_[at]);
    }
    stations_ = std::move(kept);
    arc_mm_ = std::move(arcs);
  }

  /// Heights of the skin over the way under a section, from its right foot to its left.
  using Ground = std::array<double, 5>;

  /// The ground under a stretch of stations, with what no ridge should follow taken off: a side
  /// hangs rather than reaching down a cliff, a foot stays by its side, and from station to station
  /// nothing falls steeper than 45°.
  std::vector<Ground> ground_between(std::size_t first, std::size_t last) const {
    std::vector<Ground> ground;
    for (std::size_t i = first; i <= last; ++i) {
      const Station& s = stations_[i];
      const double half = half_width_mm(s);
      Ground g{};
      for (std::size_t k = 0; k < g.size(); ++k) {
        const double out = half + (k % 4 == 0 ? kFootMm : 0.0);
        g[k] = skin_mm(s, k == 2 ? 0.0 : k < 2 ? out : -out);
      }
      for (const std::size_t side : {1u, 3u}) g[side] = std::max(g[side], g[2] - kMostHangMm);
      // A foot's corner stays above the underside's, or the end's fan would fold there.
      const double lowest_mm = kFootDepthMm + 0.2 - shape_.sink_mm;
      g[0] = std::max(g[0], g[1] + lowest_mm), g[4] = std::max(g[4], g[3] + lowest_mm);
      ground.push_back(g);
    }
    const auto raise = [&](std::size_t to, std::size_t from) {
      const double step_mm = std::abs(arc_mm_[first + to] - arc_mm_[first + from]);
      for (std::size_t k = 0; k < 5; ++k)
        ground[to][k] = std::max(ground[to][k], ground[from][k] - step_mm);
    };
    for (std::size_t i = 1; i < ground.size(); ++i) raise(i, i - 1);
    for (std::size_t i = ground.size() - 1; i > 0; --i) raise(i - 1, i);
    return ground;
  }

  /// Between stations that turn about the way a sweep narrows, as a hyperboloid does.
  void set_waists() {
    for (std::size_t i = 0; i < stations_.size(); ++i) {
      double least_cosine = 1;
      for (const std::size_t k : {i > 0 ? i - 1 : i, std::min(i + 1, stations_.size() - 1)})
        least_cosine = std::min(least_cosine, dot(stations_[i].right, stations_[k].right));
      const double half_cosine = std::sqrt(std::max(0.5, (1 + least_cosine) / 2));
      stations_[i].waist_ratio = std::min(0.15, 1 / half_cosine - 1);
    }
  }

  /// The section's upper half, on the unit circle; a trough's is nearly square, or no wall would
  /// stand beside its lid.
  Vec2 outline_at(double angle) const {
    const double c = std::cos(angle), s = std::max(0.0, std::sin(angle));
    if (shape_.kind != RibKind::trough) return {c, s};
    return {std::copysign(std::pow(std::abs(c), kTroughSquareness), c),
            std::pow(s, kTroughSquareness)};
  }

  /// The section's outline, counter-clockwise seen against the way.
  std::vector<Vec3> section(const Station& s, const Ground& ground, double taper_ratio) const {
    const double half = half_width_mm(s), mid = centre_mm(s), over = top_mm(s) - mid;
    const double foot = kFootMm * taper_ratio, most = mid - foot - 0.2;
    std::vector<Vec3> ring;
    const auto add = [&](double right, double up) {
      ring.push_back(s.at + s.right * right + s.up * up);
    };
    const double skin_right = std::min(ground[1], most), skin_left = std::min(ground[3], most);
    add(half + foot, std::min({ground[0], most, skin_right + foot}) - kFootDepthMm);
    add(half, skin_right + foot);
    for (std::size_t k = 0; k <= kArcSteps; ++k) {
      const double angle = std::numbers::pi * static_cast<double>(k) / kArcSteps;
      const Vec2 arc = outline_at(angle);
      add(half * arc.x, mid + over * arc.y);
    }
    add(-half, skin_left + foot);
    add(-half - foot, std::min({ground[4], most, skin_left + foot}) - kFootDepthMm);
    add(-half, skin_left - shape_.sink_mm);
    add(0, std::min(ground[2], most) - shape_.sink_mm);
    add(half, skin_right - shape_.sink_mm);
    return ring;
  }

  /// A point of an end's section that sees all its corners, the feet too: at the skin's height.
  Vec3 fan_middle(const Station& s, const Ground& ground) const {
    const double floor_mm = ground[2] - shape_.sink_mm / 2;
    const double sides_mm = (ground[1] + ground[3]) / 2;
    return s.at + s.up * std::min(std::max(sides_mm, floor_mm), centre_mm(s));
  }

  Result<Solid> ridge_between(std::size_t first, std::size_t last) const {
    const std::vector<Ground> ground = ground_between(first, last);
    Rings rings;
    for (std::size_t i = first; i <= last; ++i) {
      const auto from_end = static_cast<double>(std::min(i - first, last - i));
      rings.push_back(
          section(stations_[i], ground[i - first], std::min(1.0, 0.4 + 0.2 * from_end)));
    }
    for (std::size_t i = 0; i + 1 < rings.size(); ++i) {
      const Station& s = stations_[first + i];
      const double step_mm = arc_mm_[first + i + 1] - arc_mm_[first + i];
      for (std::size_t k = 0; k < rings[i].size(); ++k) {
        if (dot(rings[i + 1][k] - rings[i][k], s.along) > kLeastStepRatio * step_mm) continue;
        return Error{
            "rib-folds",
            fmt::format("the ridge folds at ({:.1f}, {:.1f}, {:.1f}), where the skin bends "
                        "too tightly; give points that lead round it",
                        s.at.x, s.at.y, s.at.z)};
      }
    }
    const Station &a = stations_[first], &b = stations_[last];
    // In a seat the ridge goes a little past the axis, where the seat's own points lie.
    Vec3 a_middle = fan_middle(a, ground.front()), b_middle = fan_middle(b, ground.back());
    const auto past = [](std::vector<Vec3>& ring, Vec3& middle, Vec3 by) {
      for (Vec3& p : ring) p += by;
      middle += by;
    };
    if (first == 0 && !shape_.from.is_open) past(rings.front(), a_middle, a.along * -kPastSeatMm);
    if (last + 1 == stations_.size() && !shape_.to.is_open)
      past(rings.back(), b_middle, b.along * kPastSeatMm);
    return sweep_rings(rings, a_middle, b_middle,
                       {OriginKind::channel, shape_.channel + kRidgeOrigin});
  }

  /// The tunnel's own way turns from the skin's where it is lifted: its rings stand across it, or
  /// it would be narrower there.
  struct Cross {
    Vec3 right, up;
  };
  Cross across_tunnel(std::size_t i) const {
    const Vec3 before = centre(stations_[i > 0 ? i - 1 : i]),
               after = centre(stations_[std::min(i + 1, stations_.size() - 1)]);
    const Vec3 along = normalized(after - before);
    const Station& s = stations_[i];
    const Vec3 right = normalized(s.right - along * dot(s.right, along));
    return {right, normalized(s.up - along * dot(s.up, along) - right * dot(s.up, right))};
  }

  /// How far the tunnel's straight stretches cut the inside of its bend at a station.
  double chord_sag_mm(std::size_t i) const {
    if (i == 0 || i + 1 >= stations_.size()) return 0;
    const Vec3 a = centre(stations_[i - 1]), b = centre(stations_[i + 1]);
    const Vec3 chord = normalized(b - a), off = centre(stations_[i]) - a;
    return std::min(0.08, norm(off - chord * dot(off, chord)));
  }

  std::vector<Vec3> tunnel_ring(std::size_t i, Vec3 middle) const {
    const Cross cross = across_tunnel(i);
    const double more_mm =
        kMoreRoomMm + std::min(0.1, chord_sag_mm(i) + radius_mm_ * stations_[i].waist_ratio);
    return circle_round(middle, cross.right, cross.up, radius_mm_ + more_mm + stations_[i].flare_mm,
                        side_count(radius_mm_));
  }

  /// The tunnel's first and last rings never lie in the ridge's end faces: an edge in a face is
  /// what booleans fail on.
  Solid tunnel() const {
    Rings rings;
    const Station &a = stations_.front(), &b = stations_.back();
    const auto end = [&](const Station& s, double way, bool is_open) {
      return is_open ? centre(s) + s.along * (way * kBeyondMm) + s.up * kBeyondLiftMm
                     : centre(s) + s.along * (way * kInSeatMm);
    };
    const Vec3 first = end(a, -1, shape_.from.is_open), last = end(b, 1, shape_.to.is_open);
    rings.push_back(tunnel_ring(0, first));
    for (std::size_t i = 1; i + 1 < stations_.size(); ++i)
      rings.push_back(tunnel_ring(i, centre(stations_[i])));
    rings.push_back(tunnel_ring(stations_.size() - 1, last));
    return sweep_rings(rings, first, last, {OriginKind::channel, shape_.channel});
  }

  /// A channel open at the top: round below, as wide as the bore above, with a ledge that the lid
  /// lies on; for clips narrower than the bore above, so that the wire snaps in.
  Solid open_channel(std::size_t first, std::size_t last) const {
    const bool is_clip = shape_.kind == RibKind::clips;
    const double half = is_clip ? kClipGapRatio * radius_mm_ : radius_mm_;
    const double ledge = is_clip ? 0 : kLedgeMm;
    const double open_angle = std::acos(half / (radius_mm_ + 1e-9));
    Rings rings;
    for (std::size_t i = first; i <= last; ++i) {
      const Station& s = stations_[i];
      const double mid = centre_mm(s), top = top_mm(s);
      const double beyond = i == first ? -kBeyondMm : i == last ? kBeyondMm : 0.0;
      const Cross cross = across_tunnel(i);
      std::vector<Vec3> ring;
      const auto add = [&](double right, double up) {
        ring.push_back(centre(s) + cross.right * right + cross.up * (up - mid) + s.along * beyond);
      };
      const double grow = 1 / std::cos(std::numbers::pi / (2 * kArcSteps));
      for (std::size_t k = 0; k <= kArcSteps; ++k) {
        const double share = static_cast<double>(k) / kArcSteps;
        const double angle = open_angle - share * (std::numbers::pi + 2 * open_angle);
        add(radius_mm_ * grow * std::cos(angle), mid + radius_mm_ * grow * std::sin(angle));
      }
      if (ledge > 0) add(-half, top - kLidMm), add(-half - ledge, top - kLidMm);
      add(-half - ledge, top + 2), add(half + ledge, top + 2);
      if (ledge > 0) add(half + ledge, top - kLidMm), add(half, top - kLidMm);
      rings.push_back(std::move(ring));
    }
    // The end's fan must see every corner: from the middle of a clip, from over a trough's ledge.
    const auto middle = [&](std::size_t i, double beyond) {
      const Station& s = stations_[i];
      const double up = is_clip ? centre_mm(s) : top_mm(s) - kLidMm + 0.5;
      return s.at + s.up * up + s.along * beyond;
    };
    return sweep_rings(rings, middle(first, -kBeyondMm), middle(last, kBeyondMm),
                       {OriginKind::channel, shape_.channel});
  }

  /// Where clipped wires enter a seat: a tunnel through its boss.
  void add_seat_tunnels(Rib& rib) const {
    const std::size_t count = stations_.size();
    for (const bool is_first : {true, false}) {
      const RibEnd& end = is_first ? shape_.from : shape_.to;
      if (end.is_open) continue;
      std::size_t reach = 1;
      while (reach + 2 < count &&
             (is_first ? arc_mm_[reach] : arc_mm_.back() - arc_mm_[count - 1 - reach]) <
                 end.seat_mm)
        ++reach;
      Rings rings;
      for (std::size_t k = 0; k <= reach; ++k) {
        const std::size_t i = is_first ? k : count - 1 - k;
        const Vec3 past = stations_[i].along * (k == 0 ? (is_first ? -kInSeatMm : kInSeatMm) : 0.0);
        rings.push_back(tunnel_ring(i, centre(stations_[i]) + past));
      }
      rib.tunnels.push_back(sweep_rings(rings, centre(stations_[is_first ? 0 : count - 1]),
                                        centre(stations_[is_first ? reach : count - 1 - reach]),
                                        {OriginKind::channel, shape_.channel}));
    }
  }

  Status add_clips(Rib& rib) {
    add_seat_tunnels(rib);
    const auto count =
        static_cast<std::size_t>(std::max(1.0, std::round(arc_mm_.back() / shape_.clip_pitch_mm)));
    const double step_mm = arc_mm_.back() / static_cast<double>(stations_.size() - 1);
    const auto reach = static_cast<std::size_t>(std::ceil(kClipMm / 2 / step_mm));
    for (std::size_t c = 0; c < count; ++c) {
      const double share = (static_cast<double>(c) + 0.5) / static_cast<double>(count);
      const double way_mm = share * arc_mm_.back();
      if (way_mm < shape_.from.seat_mm + kClipMm ||
          arc_mm_.back() - way_mm < shape_.to.seat_mm + kClipMm)
        continue;
      const auto middle =
          static_cast<std::size_t>(share * static_cast<double>(stations_.size() - 1));
      const std::size_t first = middle - std::min(middle, reach);
      const std::size_t last = std::min(stations_.size() - 1, middle + reach);
      Result<Solid> ridge = ridge_between(first, last);
      if (!ridge) return std::move(ridge).error();
      rib.ridges.push_back(std::move(*ridge));
      rib.tunnels.push_back(open_channel(first, last));
    }
    return ok();
  }

  const RayTree& body_;
  const SkinWay& way_;
  const RibShape& shape_;
  double radius_mm_;
  std::vector<Station> stations_;
  std::vector<double> arc_mm_;
};

}  // namespace

Result<Rib> draw_rib(const RayTree& body, const SkinWay& way, const RibShape& shape) {
  return RibDrawer(body, way, shape).draw();
}

}  // namespace seamwright::wiring_detail
